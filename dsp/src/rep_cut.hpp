#pragma once

#include <vector>

#include "strapline/dsp/motion_features.hpp"
#include "strapline/dsp/repetition.hpp"

#include "rep_cycle.hpp"
#include "rep_halves.hpp"
#include "rep_matcher.hpp"

namespace strapline::dsp {

/// The halves of a cycle's reps. A cycle may be cut anywhere; it is cut where its reps turn, at the
/// end that fits the set better, unless far more of the set is told from the other one (a lunge cut
/// at the bottom loses the first way down and the last way up), or another cut fits much better.
/// Empty where no cut repeats.
[[nodiscard]] std::vector<HalfChain> cut_at_turns(const MotionFeatures& features,
                                                  const RepMatcher& matcher, const RepCycle& cycle,
                                                  const RepetitionParams& params);

}  // namespace strapline::dsp
