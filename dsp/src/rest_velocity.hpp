#pragma once

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// n, m/s, positive up: the strap's vertical velocity at the grid's times `t`, with the vertical
/// specific force less gravity integrated from one rest to the next, and what is left at the later
/// rest taken out as a straight line: a slow, shallow rep moves a strap by centimetres, and the
/// filter's own velocity, which is drawn to zero all the time, hides them. Where rests are far
/// apart it is the filter's. `series` is the strap's.
[[nodiscard]] Eigen::VectorXd velocity_between_rests(const InertialSeries& series,
                                                     const PreparedStrap& strap,
                                                     const Eigen::VectorXd& t);

}  // namespace strapline::dsp
