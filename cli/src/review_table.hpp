#pragma once

#include <string>

#include "judged_review.hpp"

namespace strapline::cli {

/// The review for people: one row per rep with the key measures ± u, the mean and spread of the
/// full reps, what was not measured and why, the aim, notes and cautions.
[[nodiscard]] std::string review_table(const ReviewedSet& set, const JudgedReview& judged);

/// "2026-11-25 08:00", or "date not logged".
[[nodiscard]] std::string short_time(const std::string& utc);

}  // namespace strapline::cli
