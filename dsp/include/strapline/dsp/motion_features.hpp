#pragma once

#include <algorithm>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

struct FeatureParams {
  double rate_hz = 10.0;      ///< Hz, of the features: reps are slower than a second
  double lowpass_hz = 2.5;    ///< Hz, what is faster is no part of a rep's path
  double highpass_hz = 0.06;  ///< Hz, a height's drift is slower than the slowest reps (15 s)
  double radian_per_m = 2.0;  ///< rad/m, a height counts as the turn of a half-metre lever
};

/// What one strap shows of a movement without knowing where it sits, uniformly sampled. Rows 0–2:
/// the vertical in the sensor's frame (1 ≈ 1 rad of tilt); row 3: rad turned about the vertical
/// since the beginning; row 4: height, m × FeatureParams::radian_per_m, from a slowly moving mean.
struct MotionFeatures {
  double from_s = 0.0;
  double step_s = 0.1;
  Eigen::Matrix<double, 5, Eigen::Dynamic> value;

  [[nodiscard]] Eigen::Index size() const { return value.cols(); }
  /// The vertical in the sensor's frame; beyond either end as it is there.
  [[nodiscard]] Eigen::Vector3d up(Eigen::Index i) const {
    return value.col(std::clamp<Eigen::Index>(i, 0, size() - 1)).head<3>();
  }
  [[nodiscard]] double time_s(double index) const { return from_s + index * step_s; }
};

/// Features of one strap inside `within`. `motion` is on the uniform grid `t`, smoothed: its
/// vertical velocity is free of the accelerometer's offset and zero at rest, so the height drifts
/// little. Where the motion is not known the last known posture stands.
[[nodiscard]] MotionFeatures motion_features(const GridMotion& motion, const Eigen::VectorXd& t,
                                             const Interval& within,
                                             const FeatureParams& params = {});

}  // namespace strapline::dsp
