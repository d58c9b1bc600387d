#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/segmentation.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// One thigh seen from its side: elevation of hip→knee above horizontal as long as the knee is
/// ahead of the hip, going on below −π/2 as it swings behind it (measured about the thigh's own Z,
/// so that no heading is needed).
struct SidedThigh {
  Side side = Side::middle;
  Eigen::VectorXd depth;     ///< n, rad, NaN where not known
  double start_level = 0.0;  ///< rad, in the start posture: standing, or a split stance
};

/// SidedThigh::depth of one aligned thigh.
[[nodiscard]] Eigen::VectorXd thigh_swing(const PreparedStrap& strap);

/// The aligned thighs, left first. `still`: standing, where it is known.
[[nodiscard]] std::vector<SidedThigh> sided_thighs(const std::vector<PreparedStrap>& straps,
                                                   const Eigen::VectorXd& t,
                                                   const ResolvedParts& parts);

/// The thigh that is further ahead at each time: what the range trace shows.
[[nodiscard]] Eigen::VectorXd working_depth(const std::vector<SidedThigh>& thighs);

/// Excursions of each thigh with their sides, the left ones first. They may overlap: a leg that is
/// carried ahead all the time makes one, too.
[[nodiscard]] std::vector<Excursion> working_excursions(const std::vector<SidedThigh>& thighs,
                                                        const Eigen::VectorXd& t,
                                                        const Interval& within,
                                                        const SegmentationParams& params);

/// Where both sides move at once, the one that goes further is the working one; leaves those, in
/// time order.
void keep_the_larger(std::vector<Excursion>& all);

}  // namespace strapline::dsp
