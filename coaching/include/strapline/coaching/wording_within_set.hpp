#pragma once

#include <string>
#include <string_view>

#include "strapline/coaching/within_set.hpp"

namespace strapline::coaching {

/// "changed", "unchanged", "cannot tell".
[[nodiscard]] std::string thirds_verdict(Verdict verdict);
/// "differs", "alike", "cannot tell".
[[nodiscard]] std::string sides_verdict(Verdict verdict);

/// What is compared, and which error it is held against.
[[nodiscard]] std::string say_thirds(const WithinSet& within);
[[nodiscard]] std::string_view say_sides();
/// How many of the findings chance alone would tell; "" where there are none.
[[nodiscard]] std::string say_chance_within(const std::vector<WithinSetFinding>& findings);

}  // namespace strapline::coaching
