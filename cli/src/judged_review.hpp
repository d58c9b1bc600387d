#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/judgement.hpp"
#include "strapline/coaching/variation.hpp"

#include "reviewed_set.hpp"

namespace strapline::cli {

/// What is said of a reviewed set beyond its numbers.
struct JudgedReview {
  std::optional<coaching::AimJudgement> aim;
  std::string no_aim;  ///< why nothing is judged, in a sentence with what to do; "" where it is
  coaching::VariationGuess variation;  ///< nearest of the client's and the built-in aims
  coaching::AgreedLimits limits;
  std::vector<coaching::Caution> cautions;  ///< whatever the aim
  std::vector<dsp::Failure> faults;         ///< what could not be read and is therefore left out
};

/// Judges the set against the aim named (a name or a .toml file), else against the active aim of
/// its client, and looks for cautions, in the client's logbook too. Fails where the aim that was
/// named cannot be read; whatever else cannot be read is a fault in the result.
[[nodiscard]] dsp::Result<JudgedReview> judge_review(const ReviewedSet& set, const std::string& aim,
                                                     const std::filesystem::path& clients);

}  // namespace strapline::cli
