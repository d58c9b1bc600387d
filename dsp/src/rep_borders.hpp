#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// The borders of the reps of `work`, found anew between the turns of the reps beside them, where
/// the strap's turn shows a rep as it is: a repetition's stretch, in which they were sought before,
/// may end within a grind or hold steps that lead to the set, and a leg that begins to bend hardly
/// lowers the pelvis. Which reps there are, full or part, is not changed.
void find_borders_anew(SetWork& work, const SegmentationParams& params);

}  // namespace strapline::dsp
