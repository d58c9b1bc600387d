#pragma once

#include <vector>

#include "segment_motion.hpp"

namespace strapline::dsp {

/// Aligns the straps on feet, which hardly turn: Y is up while standing; Z, about which the heel
/// lifts, shows where a foot ever leaves the floor by kLeastAlignTurn, and is unknown (axis_u says
/// so) where it does not, which does no harm to a flat foot. Then lets the toe line of each such
/// leg follow its foot: `stance` of thigh, shank and foot becomes how far the foot has turned about
/// the vertical since the movement that showed the toe line. Only a strap on that foot tells a new
/// stance from a gyroscope's drift; without one the toe line stays as it was found.
void carry_toe_lines(std::vector<PreparedStrap>& straps, const Eigen::VectorXd& t,
                     const ResolvedParts& parts);

/// rad: an axis of which nothing is known lies anywhere on a half circle (π/√3).
inline constexpr double kUnknownAxis = 1.8138;

}  // namespace strapline::dsp
