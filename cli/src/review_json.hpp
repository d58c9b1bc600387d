#pragma once

#include <string>

#include "judged_review.hpp"

namespace strapline::cli {

/// The review as one JSON object, as `review --json` prints it: angles in degrees, distances in cm,
/// times in s, measures by the names of dsp::MeasureMap. README.md lists the keys.
[[nodiscard]] std::string review_json(const ReviewedSet& set, const JudgedReview& judged);

}  // namespace strapline::cli
