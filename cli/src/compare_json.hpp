#pragma once

#include <string>

#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/movement.hpp"

namespace strapline::cli {

/// The comparison as one JSON object, in the units of review_json. README.md lists the keys.
[[nodiscard]] std::string compare_json(const coaching::Comparison& comparison,
                                       const coaching::Movement& movement);

}  // namespace strapline::cli
