#pragma once

#include <string>

#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/movement.hpp"

namespace strapline::cli {

/// The comparison for people: the sets with load, reps, effort and pain; what changed, with the
/// verdicts; trends; what could not be compared; cautions.
[[nodiscard]] std::string compare_table(const coaching::Comparison& comparison,
                                        const coaching::Movement& movement);

}  // namespace strapline::cli
