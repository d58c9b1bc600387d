#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "strapline/coaching/within_set.hpp"

namespace strapline::cli {

/// First third against last, left against right, of the set that `title` names.
[[nodiscard]] std::string within_set_table(const coaching::WithinSet& within,
                                           const std::string& title);

[[nodiscard]] nlohmann::ordered_json within_set_json(const coaching::WithinSet& within);

}  // namespace strapline::cli
