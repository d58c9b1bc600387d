#pragma once

#include <vector>

#include "strapline/dsp/segmentation.hpp"

#include "set_work.hpp"

namespace strapline::dsp {

/// A strap that hardly turns (a pelvis in a lunge, a forearm in a press) may rise and sink instead:
/// then that parts the told repetitions, and shows what goes the same way right beside them (part
/// reps, mostly). Their range stays the strap's turn. Empty where the height does not move more
/// than the turn does.
[[nodiscard]] std::vector<Excursion> rising_reps(const SetWork& work,
                                                 const SegmentationParams& params);

}  // namespace strapline::dsp
