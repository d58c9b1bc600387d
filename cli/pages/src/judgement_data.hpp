#pragma once

#include <nlohmann/json.hpp>

#include "strapline/pages/review_page.hpp"

namespace strapline::pages {

/// The aim and what became of it, for the page's script; with `none` alone where nothing is judged.
[[nodiscard]] nlohmann::json judgement_data(const ReviewPageInput& input);

/// Cautions that were seen in the set: sentence and source.
[[nodiscard]] nlohmann::json seen_data(const ReviewPageInput& input);

}  // namespace strapline::pages
