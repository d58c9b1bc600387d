#pragma once

#include <vector>

#include <Eigen/Core>

#include "segment_motion.hpp"

namespace strapline::dsp {

/// The start posture repeats, and so does standing before and after: what the heading of each strap
/// gains against the others' between one start posture and the next (and from still to still_after)
/// is drift; a straight line through it, weighed against how little such a gyroscope drifts, is
/// taken out, and how well it is known becomes `heading_u`. What all straps gain alike is the
/// client, who faces otherwise, or does no harm: only headings against each other count.
void remove_arm_heading_drift(std::vector<PreparedStrap>& straps, const Eigen::VectorXd& t,
                              const ResolvedParts& parts,
                              const std::vector<Interval>& start_postures);

}  // namespace strapline::dsp
