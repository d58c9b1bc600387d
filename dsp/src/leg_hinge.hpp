#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// A knee's hinge with what is known of legs beside the motion.
struct LegHinge {
  Hinge hinge;              ///< axes with the leg straight
  double across_a_u = 0.0;  ///< rad, 1 sigma, of axis a in the plane that holds it and a's up
  double across_b_u = 0.0;  ///< rad, same for b
  /// rad², of both and of the heading of b against a's, whose errors go together.
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
};

/// The most likely hinge of thigh (a) and shank (b), from `start`, by Gauss–Newton on all of it at
/// once: both axes, the heading, the inward slant that a straight leg's two segments share while
/// standing (`up_a`, `up_b`: up then, sensor frames), and how soft tissue and the knee's own axial
/// turn carry each axis away in proportion to flexion. Without the last the fit takes a turn of one
/// degree in the deep bend for a slant while standing. Prior standard deviations from `budget`.
[[nodiscard]] LegHinge fit_leg_hinge(const GridMotion& a, const GridMotion& b,
                                     const std::vector<Eigen::Index>& samples, const Hinge& start,
                                     const Eigen::Vector3d& up_a, const Eigen::Vector3d& up_b,
                                     Side side, const ErrorBudget& budget);

}  // namespace strapline::dsp
