#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// The angle about the axis that a strap turns about most while it moves, on the grid: needs no
/// alignment and no knowledge of where the strap sits.
struct TurnAngle {
  Eigen::VectorXd angle;  ///< n, rad, 0 in the middle posture; NaN where not known
  double energy = 0.0;    ///< rad², mean square about the axis: to choose among straps
};

/// `within`: where it moves, at least one part; what lies between them does not count.
[[nodiscard]] TurnAngle strongest_turn(const GridMotion& motion, const Eigen::VectorXd& t,
                                       const std::vector<Interval>& within);

/// Turns the sign so that the angle grows away from the start posture, which is the end of its
/// range that it is at before and after the movement; returns the start posture's level, rad.
double grow_from_start(Eigen::VectorXd& angle, const Eigen::VectorXd& t, const Interval& within);

/// The recording `t`, s, parted in the middle of each pause between clusters of `reps` (in time
/// order).
[[nodiscard]] std::vector<Interval> cluster_zones(const Eigen::VectorXd& t,
                                                  const std::vector<Interval>& reps);

/// Where the reps are known (in time order): the angle from the posture in which they begin and
/// end, growing away from it, n, rad; NaN where not known. A pause longer than the reps themselves
/// may have let the strap slip, the client turn round and the heading drift: each cluster of reps
/// has its own axis and start posture.
[[nodiscard]] Eigen::VectorXd turn_from_start(const GridMotion& motion, const Eigen::VectorXd& t,
                                              const std::vector<Interval>& reps);

}  // namespace strapline::dsp
