#pragma once

#include <vector>

#include "strapline/dsp/motion_features.hpp"
#include "strapline/dsp/repetition.hpp"

#include "rep_halves.hpp"

namespace strapline::dsp {

/// Leaves out one or two reps a long way from the others: something else that looked alike. They
/// stay where every half is the set's, because a client may pause after the first or before the
/// last: very much alike, or alike and from where the others set out to where they turn, as far and
/// not hastily. Of a grind the last way back may be lost before it is home. What is strange at the
/// ends of such a cluster is left out, it may be a part rep.
void drop_strays(std::vector<HalfChain>& chains, const MotionFeatures& features,
                 const RepetitionParams& params);

}  // namespace strapline::dsp
