#include "strap_slip.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using Eigen::VectorXd;

// What reps of one set differ by at the least, 1 sigma each: figures of ours. The simulator's
// differ by 0.4° and 0.9°.
constexpr double kPostureRepeats = 0.017;  // rad (1°), per axis
constexpr double kWayRepeats = 0.026;      // rad (1.5°), of the axis of the way
constexpr double kLeastWay = 0.35;         // rad (20°): less shows no axis
/// sigma, of three angles together: by chance 1 in 10,000 looks (χ² of three), of which a set of
/// six straps and ten reps has some forty.
constexpr double kCertain = 4.6;
constexpr std::size_t kLeastReps = 2;  // on either side of the slip
constexpr double kStepShare = 0.5;  // a step leaves at most so much of what a straight line leaves
constexpr double kTwistUnknown = std::numbers::pi;

/// What one rep shows of a strap, sensor frame.
struct Look {
  int rep = 0;
  Vector3d up;   ///< in the start posture
  Vector3d way;  ///< axis · sin(angle), from the start posture to the turn
};

std::vector<Look> looks_of(const PreparedStrap& strap, const VectorXd& t,
                           const std::vector<Excursion>& excursions) {
  std::vector<Look> looks;
  const Side side = strap.placement.side;
  for (std::size_t k = 0; k < excursions.size(); ++k) {
    const Excursion& e = excursions[k];
    const bool of_the_other = side != Side::middle && e.side != Side::middle && e.side != side;
    const auto first = static_cast<std::size_t>(nearest_index(t, e.start.time_s));
    const auto turn = static_cast<std::size_t>(e.turn_index);
    if (e.part || of_the_other || strap.motion.known[first] == 0 || strap.motion.known[turn] == 0) {
      continue;
    }
    const Vector3d up = strap.motion.q_world_from_sensor[first].conjugate() * world_up();
    const Vector3d there = strap.motion.q_world_from_sensor[turn].conjugate() * world_up();
    looks.push_back({static_cast<int>(k), up, there.cross(up)});
  }
  return looks;
}

/// The looks as numbers that a slip steps: two tilts and the direction of the way, rad.
Eigen::Matrix3Xd angles_of(const std::vector<Look>& looks, bool ways) {
  Vector3d up = Vector3d::Zero(), way = Vector3d::Zero();
  for (const Look& look : looks) {
    up += look.up;
    way += look.way;
  }
  up.normalize();
  way -= up * up.dot(way);
  const Vector3d along = way.norm() > 1e-9 ? way.normalized() : up.unitOrthogonal();
  const Vector3d across = up.cross(along);
  Eigen::Matrix3Xd angles(3, static_cast<Index>(looks.size()));
  for (Index i = 0; i < angles.cols(); ++i) {
    const Look& look = looks[static_cast<std::size_t>(i)];
    angles.col(i) << std::asin(std::clamp(look.up.dot(along), -1.0, 1.0)),
        std::asin(std::clamp(look.up.dot(across), -1.0, 1.0)),
        ways ? std::atan2(look.way.dot(across), look.way.dot(along)) : 0.0;
  }
  return angles;
}

/// Sum of squares about a straight line over the reps.
double left_by_a_line(const Eigen::RowVectorXd& x) {
  const auto n = static_cast<double>(x.size());
  const Eigen::RowVectorXd k =
      Eigen::RowVectorXd::LinSpaced(x.size(), -0.5 * (n - 1.0), 0.5 * (n - 1.0));
  const double slope = k.dot(x) / k.squaredNorm();
  return ((x.array() - x.mean()).matrix() - slope * k).squaredNorm();
}

/// A step after the first `before` looks.
struct Step {
  Index before = 0;
  double size = 0.0;               ///< in sigmas, of all three angles together
  Vector3d sd = Vector3d::Zero();  ///< rad, of one look
};

Step step_after(const Eigen::Matrix3Xd& angles, Index before) {
  const Index after = angles.cols() - before;
  const Vector3d first = angles.leftCols(before).rowwise().mean();
  const Vector3d second = angles.rightCols(after).rowwise().mean();
  const Eigen::Matrix3Xd a = angles.leftCols(before).colwise() - first;
  const Eigen::Matrix3Xd b = angles.rightCols(after).colwise() - second;
  const Vector3d left = a.rowwise().squaredNorm() + b.rowwise().squaredNorm();
  const Vector3d floor(kPostureRepeats, kPostureRepeats, kWayRepeats);
  Step step;
  step.before = before;
  step.sd = (left / static_cast<double>(angles.cols() - 2)).cwiseSqrt().cwiseMax(floor);
  const double share =
      std::sqrt(1.0 / static_cast<double>(before) + 1.0 / static_cast<double>(after));
  const Vector3d z = (second - first).cwiseQuotient(step.sd) / share;
  double by_line = 0.0, by_step = 0.0;
  for (Index i = 0; i < 3; ++i) {
    by_line += left_by_a_line(angles.row(i));
    by_step += left[i];
  }
  if (by_step <= kStepShare * by_line) step.size = z.norm();
  return step;
}

/// Columns: up, the way's axis, their normal.
Matrix3d mean_frame(const std::vector<Look>& looks, std::size_t from, std::size_t to) {
  Vector3d up = Vector3d::Zero(), way = Vector3d::Zero();
  for (std::size_t i = from; i < to; ++i) {
    up += looks[i].up;
    way += looks[i].way;
  }
  up.normalize();
  way = (way - up * up.dot(way)).normalized();
  Matrix3d frame;
  frame << up, way, up.cross(way);
  return frame;
}

StrapSlip slip_at(const std::vector<Look>& looks, const Step& step, bool ways) {
  const auto before = static_cast<std::size_t>(step.before);
  const Matrix3d first = mean_frame(looks, 0, before);
  const Matrix3d second = mean_frame(looks, before, looks.size());
  const double share = std::sqrt(1.0 / static_cast<double>(before) +
                                 1.0 / static_cast<double>(looks.size() - before));
  StrapSlip slip;
  slip.after_rep = looks[before].rep;
  slip.tilt = std::acos(std::clamp(first.col(0).dot(second.col(0)), -1.0, 1.0));
  slip.tilt_u = share * std::max(step.sd[0], step.sd[1]);
  const Vector3d turn = log_rotation(Eigen::Quaterniond(Matrix3d(second * first.transpose())));
  slip.twist = ways ? std::abs(turn.dot((first.col(0) + second.col(0)).normalized())) : 0.0;
  slip.twist_u = ways ? share * step.sd[2] : kTwistUnknown;
  return slip;
}

std::optional<StrapSlip> slip_of(const PreparedStrap& strap, const VectorXd& t,
                                 const std::vector<Excursion>& excursions) {
  const std::vector<Look> looks = looks_of(strap, t, excursions);
  if (looks.size() < 2 * kLeastReps) return std::nullopt;
  const bool ways = std::all_of(looks.begin(), looks.end(), [](const Look& look) {
    return look.way.norm() >= std::sin(kLeastWay);
  });
  const Eigen::Matrix3Xd angles = angles_of(looks, ways);
  Step best;
  for (auto before = static_cast<Index>(kLeastReps);
       before + static_cast<Index>(kLeastReps) <= angles.cols(); ++before) {
    const Step step = step_after(angles, before);
    if (step.size > best.size) best = step;
  }
  if (best.size < kCertain) return std::nullopt;
  return slip_at(looks, best, ways);
}

std::string say_slip(const Placement placement, const StrapSlip& slip) {
  const auto degrees = [](double rad) { return rad * display_factor(Unit::radian); };
  const std::string twist = slip.twist_u < kTwistUnknown
                                ? fmt::format(", turned about the limb by {:.1f} ± {:.1f}°",
                                              degrees(slip.twist), degrees(slip.twist_u))
                                : "";
  return fmt::format(
      "the strap on {} slipped after rep {}: tilted by {:.1f} ± {:.1f}°{}; what it measures is the "
      "less certain, put it on again",
      to_string(placement), slip.after_rep, degrees(slip.tilt), degrees(slip.tilt_u), twist);
}

}  // namespace

std::vector<std::string> find_slips(std::vector<PreparedStrap>& straps, const VectorXd& t,
                                    const std::vector<Excursion>& excursions) {
  std::vector<std::string> notes;
  for (PreparedStrap& strap : straps) {
    const std::optional<StrapSlip> slip = slip_of(strap, t, excursions);
    if (!slip) continue;
    // Before it or after it the strap sits elsewhere than where it was aligned: a third of its
    // square, as for a shift.
    strap.shift_u = std::hypot(strap.shift_u, slip->tilt / std::sqrt(3.0));
    strap.twist_u = slip->twist / std::sqrt(3.0);
    notes.push_back(say_slip(strap.placement, *slip));
  }
  return notes;
}

}  // namespace strapline::dsp
