#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// rad²: axis a and b towards up, heading, turns of a by the three bend_shapes, turns of b.
using HingeCovariance = Eigen::Matrix<double, 9, 9>;

/// A knee's hinge with what is known of legs beside the motion.
struct LegHinge {
  Hinge hinge;              ///< axes with the leg straight
  double across_a_u = 0.0;  ///< rad, 1 sigma, of axis a in the plane that holds it and a's up
  double across_b_u = 0.0;  ///< rad, same for b
  /// rad, how far each axis turns towards its own up as the knee bends, thigh's then shank's, by
  /// the three bend_shapes: what soft tissue and the joint do, seen from the strap.
  Eigen::Matrix<double, 6, 1> turns = Eigen::Matrix<double, 6, 1>::Zero();
  /// rad², of both axes, of the heading of b against a's and of the turns: their errors go
  /// together.
  HingeCovariance covariance = HingeCovariance::Zero();
};

/// The same once axis b is known to point `too_high` (rad), to a `variance` (rad²): what goes with
/// it follows, but for the heading. `up_a`, `up_b`: up while standing, sensor frames.
[[nodiscard]] LegHinge with_axis_b(const LegHinge& leg, double too_high, double variance,
                                   const Eigen::Vector3d& up_a, const Eigen::Vector3d& up_b);

/// What turns with the bend (1: full flexion) does so in proportion to it, or to sin πb, or sin
/// 2πb.
[[nodiscard]] Eigen::Vector3d bend_shapes(double bend);

/// The most likely hinge of thigh (a) and shank (b), from `start`, by Gauss–Newton on all of it at
/// once: both axes, the heading, the inward slant that a straight leg's two segments share while
/// standing (`up_a`, `up_b`: up then, sensor frames), and how soft tissue and the knee, which is no
/// hinge, carry each axis away as it bends. Without the last the fit takes a turn of half a degree
/// for a slant while standing. Prior standard deviations from `budget`.
[[nodiscard]] LegHinge fit_leg_hinge(const GridMotion& a, const GridMotion& b,
                                     const std::vector<Eigen::Index>& samples, const Hinge& start,
                                     const Eigen::Vector3d& up_a, const Eigen::Vector3d& up_b,
                                     Side side, const ErrorBudget& budget);

}  // namespace strapline::dsp
