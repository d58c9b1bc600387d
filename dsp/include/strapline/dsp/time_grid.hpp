#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/orientation_smoother.hpp"

namespace strapline::dsp {

/// One strap's orientation on the uniform grid that all straps share.
struct GridMotion {
  std::vector<Eigen::Quaterniond> q_world_from_sensor;  ///< n
  Eigen::VectorXd tilt_u;                               ///< n, rad
  Eigen::VectorXd heading_u;                            ///< n, rad
  Eigen::VectorXd vertical_velocity;                    ///< n, m/s, positive up
  Eigen::Matrix3Xd tilt_covariance;                     ///< 3 × n, rad², as OrientationSeries'
  Eigen::Matrix4Xd tilt_with_reference;  ///< 4 × n, rad², as OrientationSeries'; empty: none asked
  std::vector<char> known;  ///< n, 0 where the strap has no samples (before, after, in long gaps)
};

/// Uniform times, s, that cover [from_s, to_s] at `rate_hz`.
[[nodiscard]] Eigen::VectorXd uniform_times(double from_s, double to_s, double rate_hz);

/// Orientation at the grid's times by spherical interpolation between neighbouring samples; not
/// known where the neighbours are further apart than `longest_gap_s`.
[[nodiscard]] GridMotion on_grid(const OrientationSeries& series, const Eigen::VectorXd& t,
                                 double longest_gap_s = 0.25);

/// Index of the grid time nearest to `time_s`, clamped to the grid.
[[nodiscard]] Eigen::Index nearest_index(const Eigen::VectorXd& t, double time_s);

/// Central-difference derivative of a uniformly sampled signal, per second; one-sided at the ends.
[[nodiscard]] Eigen::VectorXd derivative(const Eigen::VectorXd& x, double rate_hz);

/// Integral of a uniformly sampled signal by trapezoids, seconds times its unit; the first sample
/// counts for a whole step.
[[nodiscard]] Eigen::VectorXd integral(const Eigen::VectorXd& x, double rate_hz);

}  // namespace strapline::dsp
