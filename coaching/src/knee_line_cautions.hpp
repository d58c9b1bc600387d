#pragma once

#include <vector>

#include "strapline/coaching/cautions.hpp"

namespace strapline::coaching {

/// The knee line going further inwards over the reps of the set.
[[nodiscard]] std::vector<Caution> knee_line_over_reps(const CautionInput& input,
                                                       const CautionParameters& parameters);

/// The knee line further inwards the heavier the set, over the like sets of the last weeks.
[[nodiscard]] std::vector<Caution> knee_line_over_loads(const CautionInput& input,
                                                        const CautionParameters& parameters);

}  // namespace strapline::coaching
