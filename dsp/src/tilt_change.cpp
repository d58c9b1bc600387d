#include "tilt_change.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/orientation_filter.hpp"
#include "strapline/dsp/rotation.hpp"

#include "grid_rate.hpp"
#include "square.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kLeastTurn = 0.02;  // rad: less has no axis
constexpr int kSettled = 5;  // s to either side: over so long gravity, not the gyroscope, levels

Vector3d flat(const Vector3d& v) { return {v.x(), 0.0, v.z()}; }

/// A strap at one instant.
struct Look {
  Quaterniond q;             // world from segment
  Vector3d tilt_covariance;  // rad², as GridMotion's
  double heading;            // rad, of the segment's world in the strap's
};

Look look_at(const PreparedStrap& strap, Index i) {
  const double stance = strap.stance.size() == 0 ? 0.0 : strap.stance[i];
  return {strap.q_world_from_segment[static_cast<std::size_t>(i)],
          strap.motion.tilt_covariance.col(i), strap.alignment->start_heading + stance};
}

/// The segment's axes were the world's then.
Look still_look(const PreparedStrap& strap) {
  return {Quaterniond::Identity(), strap.still_tilt, strap.alignment->start_heading};
}

/// How a quantity with this gradient changes with the accelerometer's offset, in the segment's
/// axes, rad per m/s²: an offset that lies level tilts what is taken for upright.
Vector3d by_offset(const Look& look, const Vector3d& gradient) {
  return look.q.conjugate() * gradient.cross(world_up()) / kStandardGravity;
}

double variance(const Look& look, const Vector3d& gradient) {
  return level_variance(look.tilt_covariance, turn_about_vertical(look.heading) * gradient);
}

/// Of the accelerometer's offset, (m/s²)², in the segment's axes.
Eigen::Matrix3d offset_covariance(const PreparedStrap& strap) {
  const Eigen::Matrix3d to_sensor = strap.alignment->q_sensor_from_segment.toRotationMatrix();
  return to_sensor.transpose() * strap.acc_bias_covariance * to_sensor;
}

double of_offset(const Eigen::Matrix3d& offset, const Vector3d& by) { return by.dot(offset * by); }

/// What is the instant's own.
double beyond(const Look& look, const Vector3d& gradient, const Eigen::Matrix3d& offset) {
  return std::max(0.0, variance(look, gradient) - of_offset(offset, by_offset(look, gradient)));
}

/// In the strap's own world, about X and Z.
Eigen::Vector2d own_level(const Look& look, const Vector3d& gradient) {
  const Vector3d own = turn_about_vertical(look.heading) * gradient;
  return {own.x(), own.z()};
}

/// The still part's level gradient of a quantity whose gradient is `g` at `now`.
Vector3d level_before(const Look& now, const Vector3d& g, const Look& then) {
  return flat(then.q * now.q.conjugate() * g);
}

/// By such an offset, of a quantity with the level gradient `g` at `now`, less what the error at
/// `then` adds to it. In `then`, where the segment was turned otherwise, a part of the gradient
/// stands upright: of that gravity showed nothing, the gyroscope links nothing, and the error of
/// now counts in full. The level part is linked by the gyroscope as well as its gain is known.
double changed(const PreparedStrap& strap, const Look& now, const Vector3d& g, const Look& then,
               const Eigen::Matrix3d& offset) {
  const Quaterniond turn = now.q * then.q.conjugate();
  const Vector3d before = turn.conjugate() * g;
  const Vector3d level = flat(before);
  const Vector3d unlinked = by_offset(now, flat(turn * (before - level)));
  const Vector3d linked = by_offset(now, g) - unlinked - by_offset(then, level);
  const double by_gain =
      square(strap.gyr_gain_sd * log_rotation(turn).norm()) * level.squaredNorm();
  return of_offset(offset, linked) <= by_gain ? of_offset(offset, linked + unlinked)
                                              : by_gain + of_offset(offset, unlinked);
}

double floor_of(const Vector3d& g) {
  return g.squaredNorm() * square(OrientationParams{}.tilt_floor);
}

/// Covariance, rad², of a quantity with this level gradient at sample i and another in the still
/// part, each in the strap's own world.
double shared_with_still(const PreparedStrap& strap, Index i, const Eigen::Vector2d& now,
                         const Eigen::Vector2d& then) {
  if (strap.motion.tilt_with_reference.cols() == 0) return 0.0;
  const Eigen::Vector4d c = strap.motion.tilt_with_reference.col(i);
  return then.x() * (c[0] * now.x() + c[1] * now.y()) +
         then.y() * (c[2] * now.x() + c[3] * now.y());
}

}  // namespace

double level_variance(const Vector3d& tilt_covariance, const Vector3d& gradient) {
  const double x = gradient.x(), z = gradient.z();
  const Vector3d& c = tilt_covariance;
  return c[0] * square(x) + 2.0 * c[1] * x * z + c[2] * square(z);
}

double tilt_variance_since_still(const PreparedStrap& strap, Index i, const Vector3d& gradient) {
  const Look now = look_at(strap, i), then = still_look(strap);
  const Vector3d g = flat(gradient);
  Vector3d before = level_before(now, gradient, then);
  before.x() *= strap.alignment->standing_share;
  const double shared = shared_with_still(strap, i, own_level(now, g), own_level(then, before));
  return std::max(0.0, variance(now, g) + variance(then, before) - 2.0 * shared) + floor_of(g);
}

Eigen::VectorXd held_over(const std::vector<Quaterniond>& q_world_from_segment) {
  const auto n = static_cast<Index>(q_world_from_segment.size());
  Eigen::Matrix3Xd up(3, n);
  for (Index i = 0; i < n; ++i) {
    up.col(i) = q_world_from_segment[static_cast<std::size_t>(i)].conjugate() * world_up();
  }
  Eigen::VectorXd over(n);
  for (Index i = 0; i < n; ++i) {
    Vector3d sum = Vector3d::Zero();
    for (int second = -kSettled; second <= kSettled; ++second) {
      sum += up.col(std::clamp<Index>(i + std::lround(second * kGridRate), 0, n - 1));
    }
    over[i] = (sum / (2.0 * kSettled + 1.0) - Vector3d::UnitY()).norm();
  }
  return over;
}

double cross_axis_variance(const PreparedStrap& strap, Index i, const Vector3d& gradient) {
  if (strap.held_over.size() == 0) return 0.0;
  return square(strap.acc_cross_axis_sd * strap.held_over[i]) * flat(gradient).squaredNorm();
}

double tilt_variance_beside_hinge(const PreparedStrap& strap, Index i, const Vector3d& gradient) {
  const Look now = look_at(strap, i);
  const Vector3d g = flat(gradient);
  const Eigen::Matrix3d offset = offset_covariance(strap);
  Eigen::Matrix3d in_plane = Eigen::Matrix3d::Zero();
  in_plane.topLeftCorner<2, 2>() = offset.topLeftCorner<2, 2>();
  return beyond(now, g, offset) + changed(strap, now, g, still_look(strap), in_plane) + floor_of(g);
}

double tilt_variance_between(const PreparedStrap& strap, Index i, Index j) {
  const Look then = look_at(strap, i), now = look_at(strap, j);
  Vector3d axis = flat(log_rotation(now.q * then.q.conjugate()));
  if (axis.norm() < kLeastTurn) axis = Vector3d::UnitZ();
  const Vector3d g = axis.normalized();
  const Eigen::Matrix3d offset = offset_covariance(strap);
  return beyond(now, g, offset) + beyond(then, level_before(now, g, then), offset) +
         changed(strap, now, g, then, offset) + floor_of(g);
}

}  // namespace strapline::dsp
