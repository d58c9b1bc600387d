#pragma once

#include <string>

#include "strapline/coaching/comparison.hpp"
#include "strapline/coaching/movement.hpp"

namespace strapline::pages {

/// What a compare page shows: the findings over a client's sets.
struct ComparePageInput {
  coaching::Comparison comparison;  ///< at least one set
  coaching::Movement movement;      ///< title and cautions
};

/// One self-contained HTML document, as review_page.
[[nodiscard]] std::string compare_page(const ComparePageInput& input);

}  // namespace strapline::pages
