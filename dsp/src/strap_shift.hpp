#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// How a strap sits after the set against before it, from standing still twice in the same place
/// and posture. `again_u`: how differently a client stands the second time, rad, 1 sigma per axis.
/// Empty where either stretch is not known.
[[nodiscard]] std::optional<StrapShift> strap_shift(const GridMotion& motion,
                                                    const Eigen::VectorXd& t,
                                                    const Interval& before, const Interval& after,
                                                    double again_u);

/// Fills `shift` and `shift_u` of every strap where both still parts are marked, and returns a line
/// for each that has moved by more than chance (3.6 u).
[[nodiscard]] std::vector<std::string> find_shifts(std::vector<PreparedStrap>& straps,
                                                   const Eigen::VectorXd& t,
                                                   const RecordingParts& parts,
                                                   const ErrorBudget& budget);

}  // namespace strapline::dsp
