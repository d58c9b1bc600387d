#pragma once

#include <vector>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::dsp {

/// Adds `NAME_difference`, left minus right, to every rep that has a measure on both sides.
void add_left_less_right(std::vector<Rep>& reps);

/// What is measured of a set as a whole, over its full reps: `NAME_sd` and `TRACE_curve_sd`
/// (steadiness: SD of a measure from rep to rep; RMS over the time-normalised rep of the SD of the
/// curve there), `velocity_loss` (share that the last rep's concentric velocity lies below the
/// fastest rep's), and, where the legs take turns, `NAME_difference` of the sides' means. A curve
/// of one side is taken over the reps that this side did.
[[nodiscard]] MeasureMap measures_of_set(const std::vector<Rep>& reps,
                                         const std::vector<Trace>& traces,
                                         const Eigen::VectorXd& t);

}  // namespace strapline::dsp
