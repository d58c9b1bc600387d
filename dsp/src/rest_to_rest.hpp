#pragma once

#include <vector>

#include "set_work.hpp"

namespace strapline::dsp {

/// An end of the told reps.
enum class RepEnd { start, turn };

/// What turns the strap there and back by `kLeastTurn` and more, to either side and straight, from
/// where it rests to where it rests again, in the set part; sought from where the told full reps
/// have the end `home`. In time order.
[[nodiscard]] std::vector<Excursion> rest_to_rest(const SetWork& work, RepEnd home,
                                                  const SegmentationParams& params);

}  // namespace strapline::dsp
