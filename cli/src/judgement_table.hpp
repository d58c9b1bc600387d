#pragma once

#include <string>

#include "judged_review.hpp"

namespace strapline::cli {

/// The judgement for people: the aim and whether it is met, one row per rep, one line per measure,
/// what matters most; or why nothing is judged.
[[nodiscard]] std::string judgement_table(const ReviewedSet& set, const JudgedReview& review);

/// Cautions that were seen in this set, each with its source; "" where there are none.
[[nodiscard]] std::string cautions_seen(const ReviewedSet& set, const JudgedReview& review);

/// What a caution's rep is called; "" where it is about none.
[[nodiscard]] std::string rep_label(const coaching::Caution& caution,
                                    const std::vector<dsp::Rep>& reps);

}  // namespace strapline::cli
