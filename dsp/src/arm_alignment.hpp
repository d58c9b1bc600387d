#pragma once

#include <vector>

#include "strapline/dsp/error_budget.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// Sensor to segment for a set of the arms (measures.md "Alignment"), all straps at once: trunk
/// from standing and the bow; thighs from standing and the start position (a plank; the turn
/// forwards shows their axes); upper arms from hanging (a stated few degrees outwards) and the
/// raise to the side, whose plane is the frontal one; forearms from hanging and the elbow's hinge,
/// found in the slow bends, which also ties their heading to the upper arm's. Fills `alignment` or
/// `trouble`, and `q_world_from_segment` in the world whose X is the way the client faced while
/// standing.
void align_arms(std::vector<PreparedStrap>& straps, const Eigen::VectorXd& t,
                const ResolvedParts& parts, const std::vector<Eigen::Index>& movement,
                const ErrorBudget& budget);

}  // namespace strapline::dsp
