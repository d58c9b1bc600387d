#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// n, rad (a height counts as the turn of a half-metre lever, FeatureParams::radian_per_m): how far
/// a strap has risen or sunk, whichever its reps do, from where they begin and end. `reps`, in time
/// order, lie at home at both ends; in between home is taken to drift evenly, as an integrated
/// velocity does. NaN where the motion is not known.
[[nodiscard]] Eigen::VectorXd height_from_start(const GridMotion& motion, const Eigen::VectorXd& t,
                                                const std::vector<Interval>& reps);

}  // namespace strapline::dsp
