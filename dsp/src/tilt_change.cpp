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

/// Of the accelerometer's offset, (m/s²)², in the segment's axes.
Eigen::Matrix3d offset_covariance(const PreparedStrap& strap) {
  const Eigen::Matrix3d to_sensor = strap.alignment->q_sensor_from_segment.toRotationMatrix();
  return to_sensor.transpose() * strap.acc_bias_covariance * to_sensor;
}

double of_offset(const Eigen::Matrix3d& offset, const Vector3d& by) { return by.dot(offset * by); }

double floor_of(const Vector3d& g) {
  return g.squaredNorm() * square(OrientationParams{}.tilt_floor);
}

}  // namespace

double level_variance(const Vector3d& tilt_covariance, const Vector3d& gradient) {
  const double x = gradient.x(), z = gradient.z();
  const Vector3d& c = tilt_covariance;
  return c[0] * square(x) + 2.0 * c[1] * x * z + c[2] * square(z);
}

/// Where the segment was at one instant.
struct TiltChange::Look {
  Quaterniond q;             // world from segment
  Vector3d tilt_covariance;  // rad², as GridMotion's
  double sine, cosine;       // of the heading of the segment's world in the strap's

  /// The same vector in the strap's own world.
  [[nodiscard]] Vector3d own(const Vector3d& v) const {
    return {cosine * v.x() + sine * v.z(), v.y(), cosine * v.z() - sine * v.x()};
  }
  /// How a quantity with this gradient changes with the accelerometer's offset, in the segment's
  /// axes, rad per m/s²: an offset that lies level tilts what is taken for upright.
  [[nodiscard]] Vector3d by_offset(const Vector3d& gradient) const {
    return q.conjugate() * gradient.cross(world_up()) / kStandardGravity;
  }
  [[nodiscard]] double variance(const Vector3d& gradient) const {
    return level_variance(tilt_covariance, own(gradient));
  }
  /// The level gradient at `then` of a quantity whose gradient is `g` here.
  [[nodiscard]] Vector3d level_at(const Look& then, const Vector3d& g) const {
    return flat(then.q * q.conjugate() * g);
  }
};

TiltChange::TiltChange(const PreparedStrap& strap)
    : strap_(strap),
      offset_(offset_covariance(strap)),
      start_sine_(std::sin(strap.alignment->start_heading)),
      start_cosine_(std::cos(strap.alignment->start_heading)) {}

TiltChange::Look TiltChange::look_at(Index i) const {
  Look look{strap_.q_world_from_segment[static_cast<std::size_t>(i)],
            strap_.motion.tilt_covariance.col(i), start_sine_, start_cosine_};
  if (strap_.stance.size() == 0) return look;
  const double heading = strap_.alignment->start_heading + strap_.stance[i];
  look.sine = std::sin(heading);
  look.cosine = std::cos(heading);
  return look;
}

TiltChange::Look TiltChange::still_look() const {
  // The segment's axes were the world's then.
  return {Quaterniond::Identity(), strap_.still_tilt, start_sine_, start_cosine_};
}

/// What is the instant's own.
double TiltChange::beyond(const Look& look, const Vector3d& gradient) const {
  return std::max(0.0, look.variance(gradient) - of_offset(offset_, look.by_offset(gradient)));
}

/// By such an offset, of a quantity with the level gradient `g` at `now`, less what the error at
/// `then` adds to it. In `then`, where the segment was turned otherwise, a part of the gradient
/// stands upright: of that gravity showed nothing, the gyroscope links nothing, and the error of
/// now counts in full. The level part is linked by the gyroscope as well as its gain is known.
double TiltChange::changed(const Look& now, const Vector3d& g, const Look& then,
                           const Eigen::Matrix3d& offset) const {
  const Quaterniond turn = now.q * then.q.conjugate();
  const Vector3d before = turn.conjugate() * g;
  const Vector3d level = flat(before);
  const Vector3d unlinked = now.by_offset(flat(turn * (before - level)));
  const Vector3d linked = now.by_offset(g) - unlinked - then.by_offset(level);
  const double by_gain =
      square(strap_.gyr_gain_sd * log_rotation(turn).norm()) * level.squaredNorm();
  return of_offset(offset, linked) <= by_gain ? of_offset(offset, linked + unlinked)
                                              : by_gain + of_offset(offset, unlinked);
}

/// Covariance, rad², of a quantity with this level gradient at sample i and another in the still
/// part, each in the strap's own world.
double TiltChange::shared_with_still(Index i, const Vector3d& now, const Vector3d& then) const {
  if (strap_.motion.tilt_with_reference.cols() == 0) return 0.0;
  const Eigen::Vector4d c = strap_.motion.tilt_with_reference.col(i);
  return then.x() * (c[0] * now.x() + c[1] * now.z()) +
         then.z() * (c[2] * now.x() + c[3] * now.z());
}

double TiltChange::variance_since_still(Index i, const Vector3d& gradient) const {
  const Look now = look_at(i), then = still_look();
  const Vector3d g = flat(gradient);
  Vector3d before = now.level_at(then, gradient);
  before.x() *= strap_.alignment->standing_share;
  const double shared = shared_with_still(i, now.own(g), then.own(before));
  return std::max(0.0, now.variance(g) + then.variance(before) - 2.0 * shared) + floor_of(g);
}

double TiltChange::variance_beside_hinge(Index i, const Vector3d& gradient) const {
  const Look now = look_at(i);
  const Vector3d g = flat(gradient);
  Eigen::Matrix3d in_plane = Eigen::Matrix3d::Zero();
  in_plane.topLeftCorner<2, 2>() = offset_.topLeftCorner<2, 2>();
  return beyond(now, g) + changed(now, g, still_look(), in_plane) + floor_of(g);
}

double TiltChange::variance_between(Index i, Index j) const {
  const Look then = look_at(i), now = look_at(j);
  Vector3d axis = flat(log_rotation(now.q * then.q.conjugate()));
  if (axis.norm() < kLeastTurn) axis = Vector3d::UnitZ();
  const Vector3d g = axis.normalized();
  return beyond(now, g) + beyond(then, now.level_at(then, g)) + changed(now, g, then, offset_) +
         floor_of(g);
}

Eigen::VectorXd held_over(const std::vector<Quaterniond>& q_world_from_segment) {
  const auto n = static_cast<Index>(q_world_from_segment.size());
  Eigen::Matrix3Xd up(3, n);
  for (Index i = 0; i < n; ++i) {
    up.col(i) = q_world_from_segment[static_cast<std::size_t>(i)].conjugate() * world_up();
  }
  const Index step = std::lround(kGridRate);
  Eigen::VectorXd over(n);
  for (Index i = 0; i < n; ++i) {
    Vector3d sum = Vector3d::Zero();
    for (int second = -kSettled; second <= kSettled; ++second) {
      sum += up.col(std::clamp<Index>(i + second * step, 0, n - 1));
    }
    over[i] = (sum / (2.0 * kSettled + 1.0) - Vector3d::UnitY()).norm();
  }
  return over;
}

double cross_axis_variance(const PreparedStrap& strap, Index i, const Vector3d& gradient) {
  if (strap.held_over.size() == 0) return 0.0;
  return square(strap.acc_cross_axis_sd * strap.held_over[i]) * flat(gradient).squaredNorm();
}

}  // namespace strapline::dsp
