#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// All excursions of the strap's own turn that go the way of the reps which the repetitions show,
/// in place of those: part reps beside them, the first and the last one, which little vouches for.
/// What no repetition told of follows a rep at once, or leads to one.
/// The same list where the excursions do not part the recording as the repetitions do (a rep with
/// two turns, two reps that are one repetition): then the repetitions are what is known.
[[nodiscard]] std::vector<Excursion> with_alike(const SetWork& work,
                                                const std::vector<Excursion>& told,
                                                const SegmentationParams& params);

}  // namespace strapline::dsp
