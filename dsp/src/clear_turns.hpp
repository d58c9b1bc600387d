#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// The reps of a strap that rises (`work.rises`) by its turn, where that, small as it is, shows
/// them as they are: whatever turns there and back, from rest to rest, and rises with it. A pelvis'
/// height hardly shows a slow last rep or one of a few after a pause, and repetitions may have
/// joined two lunges. What was told before stays where the turn does not show all that was told.
[[nodiscard]] std::vector<Excursion> by_clear_turns(const SetWork& work,
                                                    const SegmentationParams& params);

}  // namespace strapline::dsp
