#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// The reps of `work` and full ones that nothing told of, wherever in the set: what turns the strap
/// there and back from rest to rest as they do, as far, as slowly, the same way and from the same
/// posture. The last rep after a pause is often one: it grinds, and has no other beside it.
[[nodiscard]] std::vector<Excursion> with_alike_turns(const SetWork& work,
                                                      const SegmentationParams& params);

}  // namespace strapline::dsp
