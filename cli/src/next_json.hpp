#pragma once

#include <nlohmann/json.hpp>

#include "standing.hpp"

namespace strapline::cli {

/// A standing as README.md "JSON" has it.
[[nodiscard]] nlohmann::ordered_json standing_json(const Standing& standing);

}  // namespace strapline::cli
