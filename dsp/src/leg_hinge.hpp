#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// What of a fitted hinge errs together: axis a and b towards up, the heading of b against a's, the
/// tilts of a's and b's world, turns of a by the three bend_shapes, turns of b; all rad.
enum HingeError : Eigen::Index {
  kHingeAxisA,
  kHingeAxisB,
  kHingeHeading,
  kHingeTiltA,
  kHingeTiltB,
  kHingeTurns,
  kHingeErrors = kHingeTurns + 6
};
using HingeErrors = Eigen::Matrix<double, kHingeErrors, 1>;
using HingeCovariance = Eigen::Matrix<double, kHingeErrors, kHingeErrors>;  ///< rad²

/// A knee's hinge with what is known of legs beside the motion.
struct LegHinge {
  Hinge hinge;  ///< axes with the leg straight
  /// rad, how far each axis turns towards its own up as the knee bends, thigh's then shank's, by
  /// the three bend_shapes: what soft tissue and the joint do, seen from the strap.
  Eigen::Matrix<double, 6, 1> turns = Eigen::Matrix<double, 6, 1>::Zero();
  /// rad, how far an accelerometer's offset along the hinge tilts what a strap takes for the world,
  /// about the direction ahead (up × axis).
  double tilt_a = 0.0, tilt_b = 0.0;
  HingeCovariance covariance = HingeCovariance::Zero();
};

/// Variance, rad², of how far axis b points too high in the world as b takes it.
[[nodiscard]] double too_high_variance(const LegHinge& leg);

/// The same once axis b is known to point `too_high` (rad) in the world as b takes it, to a
/// `variance` (rad²): what goes with it follows. `up_a`, `up_b`: up while standing, sensor frames.
[[nodiscard]] LegHinge with_axis_b(const LegHinge& leg, double too_high, double variance,
                                   const Eigen::Vector3d& up_a, const Eigen::Vector3d& up_b);

/// What turns with the bend (1: full flexion) does so in proportion to it, or to sin πb, or sin
/// 2πb.
[[nodiscard]] Eigen::Vector3d bend_shapes(double bend);

/// The most likely hinge of thigh (a) and shank (b), from `start`, by Gauss–Newton on all of it at
/// once: both axes, the heading, the inward slant that a straight leg's two segments share while
/// standing (`up_a`, `up_b`: up then, sensor frames), how each strap's world is tilted across the
/// leg (`tilt_sd`: rad, prior of both), and how soft tissue and the knee, which is no hinge, carry
/// each axis away as it bends. Without the last the fit takes a turn of half a degree for a slant
/// while standing. Prior standard deviations from `budget`.
[[nodiscard]] LegHinge fit_leg_hinge(const GridMotion& a, const GridMotion& b,
                                     const std::vector<Eigen::Index>& samples, const Hinge& start,
                                     const Eigen::Vector3d& up_a, const Eigen::Vector3d& up_b,
                                     Side side, const Eigen::Vector2d& tilt_sd,
                                     const ErrorBudget& budget);

}  // namespace strapline::dsp
