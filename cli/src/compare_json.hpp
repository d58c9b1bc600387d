#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/movement.hpp"

namespace strapline::cli {

/// The comparison as one JSON object, in the units of review_json. README.md lists the keys.
/// @param more further keys.
[[nodiscard]] std::string compare_json(const coaching::Comparison& comparison,
                                       const coaching::Movement& movement,
                                       const nlohmann::ordered_json& more);

}  // namespace strapline::cli
