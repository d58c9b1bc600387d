#include "strapline/dsp/calibration.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "gravity_ellipsoid.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

// What warmth and switching on change after a calibration, one sigma. From memory of common
// parts' datasheets, ten degrees warmer: 0.02–0.05 °/s and 0.1–0.5 mg per degree.
constexpr double kGyrWander = 0.005;  // rad/s
constexpr double kAccWander = 0.04;   // m/s²

/// Mean rate at rest. Poses weigh by what their own spread says; where they differ by more than
/// that (hands turn a little), the uncertainty grows accordingly.
void find_gyr_offset(const std::vector<StillPose>& poses, TriadCalibration& gyr) {
  constexpr double kLeastSd = 1e-5;  // rad/s: rounded readings may have no spread at all
  double weights = 0.0;
  for (const StillPose& p : poses) {
    const double weight = p.n / std::pow(std::max(p.gyr_sd, kLeastSd), 2);
    gyr.offset += weight * p.gyr_mean;
    weights += weight;
  }
  gyr.offset /= weights;
  Vector3d scatter = Vector3d::Zero();
  for (const StillPose& p : poses) {
    const double weight = p.n / std::pow(std::max(p.gyr_sd, kLeastSd), 2);
    scatter += weight * (p.gyr_mean - gyr.offset).cwiseAbs2();
  }
  const double freedom = std::max(1.0, static_cast<double>(poses.size()) - 1.0);
  const Vector3d inflation = (scatter / freedom).cwiseMax(1.0);
  gyr.offset_u = (inflation / weights).cwiseSqrt();
}

/// ∫ (rate − offset) dt between two times, trapezoids.
Vector3d turned(const InertialSeries& s, const Vector3d& offset, const Interval& when) {
  Vector3d sum = Vector3d::Zero();
  for (Index i = 1; i < s.size(); ++i) {
    if (s.t[i - 1] < when.from_s || s.t[i] > when.to_s) continue;
    sum += (0.5 * (s.gyr.col(i - 1) + s.gyr.col(i)) - offset) * (s.t[i] - s.t[i - 1]);
  }
  return sum;
}

/// Turns by the known angle about one axis, from and to the same pose.
struct Turns {
  std::array<double, 3> sum{};  ///< of known / read
  std::array<int, 3> n{};
};

Turns find_turns(const InertialSeries& s, const std::vector<StillPose>& poses,
                 const Vector3d& offset, double angle) {
  constexpr double kCosSamePose = 0.985;  // 10°
  constexpr double kMostOff = 0.15;       // share: a worse scale error is another kind of turn
  constexpr double kLeastAlong = 0.95;    // share of the turn that is about its axis
  Turns turns;
  for (std::size_t k = 1; k < poses.size(); ++k) {
    const Vector3d before = poses[k - 1].acc_mean.normalized();
    if (before.dot(poses[k].acc_mean.normalized()) < kCosSamePose) continue;
    const Vector3d turn = turned(s, offset, {poses[k - 1].when.to_s, poses[k].when.from_s});
    Index axis = 0;
    const double along = turn.cwiseAbs().maxCoeff(&axis);
    if (std::abs(along / angle - 1.0) > kMostOff || along < kLeastAlong * turn.norm()) continue;
    turns.sum[static_cast<std::size_t>(axis)] += angle / along;
    ++turns.n[static_cast<std::size_t>(axis)];
  }
  return turns;
}

Result<int> find_gyr_gain(const InertialSeries& s, const std::vector<StillPose>& poses,
                          const CalibrationOptions& options, TriadCalibration& gyr) {
  const Turns turns = find_turns(s, poses, gyr.offset, options.turn_angle);
  int all = 0;
  for (Index axis = 0; axis < 3; ++axis) {
    const int n = turns.n[static_cast<std::size_t>(axis)];
    if (n == 0) {
      return fail(fmt::format("no turn by {:.0f}° about the strap's {} axis between two still "
                              "poses",
                              options.turn_angle * 180.0 / std::numbers::pi, "xyz"[axis]),
                  "calibration", "turn it against an edge, back to the same place, then hold it");
    }
    gyr.gain(axis, axis) = turns.sum[static_cast<std::size_t>(axis)] / n;
    gyr.gain_u(axis, axis) = options.turn_sd / options.turn_angle / std::sqrt(double(n));
    all += n;
  }
  return all;
}

}  // namespace

double normal_gravity(double latitude) {
  constexpr double kEquator = 9.7803253359, kK = 0.00193185265241, kE2 = 0.00669437999013;
  const double s2 = std::pow(std::sin(latitude), 2);
  return kEquator * (1.0 + kK * s2) / std::sqrt(1.0 - kE2 * s2);
}

Result<StrapCalibration> calibrate(const InertialSeries& series,
                                   const CalibrationOptions& options) {
  const std::vector<StillPose> poses = still_poses(series, options);
  const auto fit = fit_gravity_ellipsoid(poses, options);
  if (!fit) return tl::make_unexpected(fit.error());
  StrapCalibration made;
  made.acc = fit->acc;
  made.skew_seen = fit->skew_seen;
  made.gravity = options.gravity;
  made.poses = static_cast<int>(poses.size());
  made.residual_before = gravity_residual(poses, {}, options.gravity);
  made.residual_after = gravity_residual(poses, made.acc, options.gravity);
  find_gyr_offset(poses, made.gyr);
  if (options.turn_angle > 0.0) {
    const auto turns = find_gyr_gain(series, poses, options, made.gyr);
    if (!turns) return tl::make_unexpected(turns.error());
    made.turns = *turns;
  }
  return made;
}

void apply(const StrapCalibration& calibration, InertialSeries& series) {
  const auto correct = [](const TriadCalibration& triad, Eigen::Matrix3Xd& readings) {
    readings = (triad.gain * (readings.colwise() - triad.offset)).eval();
  };
  correct(calibration.acc, series.acc);
  correct(calibration.gyr, series.gyr);
}

SensorErrors narrowed(const SensorErrors& errors, const StrapCalibration& calibration) {
  SensorErrors after = errors;
  const double gyr = std::hypot(calibration.gyr.offset_u.maxCoeff(), kGyrWander);
  const double acc = std::hypot(calibration.acc.offset_u.maxCoeff(), kAccWander);
  after.gyr_bias_sd = std::min(errors.gyr_bias_sd, gyr);
  after.acc_bias_sd = std::min(errors.acc_bias_sd, acc);
  if (calibration.skew_seen) {
    const Eigen::Matrix3d u = calibration.acc.gain_u;
    after.acc_cross_axis_sd =
        std::min(errors.acc_cross_axis_sd, std::max({u(0, 1), u(0, 2), u(1, 2)}));
  }
  // The gain stays as wide: turns show the gyroscope's scale, not how its axes cross.
  return after;
}

}  // namespace strapline::dsp
