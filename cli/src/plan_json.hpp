#pragma once

#include <optional>

#include <nlohmann/json.hpp>

#include "strapline/coaching/plan.hpp"

namespace strapline::cli {

/// The envelope, and where a planned set lies in it, as README.md "JSON" has them: degrees, kg.
[[nodiscard]] nlohmann::ordered_json plan_json(const coaching::Envelope& envelope,
                                               const std::optional<coaching::PlacedSet>& placed);

}  // namespace strapline::cli
