#pragma once

#include <string_view>

#include "strapline/coaching/aim.hpp"

#include "toml_reader.hpp"

namespace strapline::coaching {

/// Reads `at_least_kg` and `at_most_kg`, or `at_least_body_mass` and `at_most_body_mass`, from a
/// table. Faults: neither or both kinds, or nothing between them.
[[nodiscard]] LoadRange read_load_range(TableReader& reader);

}  // namespace strapline::coaching
