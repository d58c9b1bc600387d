#pragma once

#include <nlohmann/json.hpp>

#include "judged_review.hpp"

namespace strapline::cli {

/// The judgement as README.md "JSON" has it; null where there is no aim.
[[nodiscard]] nlohmann::ordered_json aim_json(const JudgedReview& review);

/// Which aim describes the set best: `told`, and `fits` with their probabilities.
[[nodiscard]] nlohmann::ordered_json variation_json(const JudgedReview& review);

/// Cautions that were seen in this set.
[[nodiscard]] nlohmann::ordered_json cautions_json(const ReviewedSet& set,
                                                   const JudgedReview& review);

/// {at_least, at_most} in what people read; null where there is no such edge.
[[nodiscard]] nlohmann::ordered_json band_json(const coaching::Band& band, dsp::Unit unit);

}  // namespace strapline::cli
