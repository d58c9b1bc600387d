#pragma once

#include <vector>

#include "strapline/dsp/movement_spec.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// Row 0: the strap's vertical acceleration at the grid's times `t`, m/s², positive up, only where
/// the strap is known. Rows 1 to 3: up in the sensor's axes, by which an offset of the
/// accelerometer shows in it. `series` is the strap's, of at least two samples; else zeros.
[[nodiscard]] Eigen::Matrix4Xd vertical_acceleration(const InertialSeries& series,
                                                     const PreparedStrap& strap,
                                                     const Eigen::VectorXd& t);

/// Adds `concentric_velocity` (mean over the lifting phase) and `concentric_velocity_peak` of the
/// strap on the first of `spec.velocity_of` that is worn, m/s, positive upwards: of the strap
/// itself, not of a joint. The vertical specific force less gravity is integrated from the turn to
/// the start posture (or the other way round); at both the strap stands still or turns round, so
/// what velocity is left there is drift and taken out as a straight line. Adds the reason where no
/// such strap is worn; nothing where the movement names no placement. `series` in the order of
/// `straps`.
void add_concentric_velocity(const MovementSpec& spec, const std::vector<StrapSeries>& series,
                             const std::vector<PreparedStrap>& straps, const Eigen::VectorXd& t,
                             const std::vector<Excursion>& excursions, std::vector<Rep>& reps);

}  // namespace strapline::dsp
