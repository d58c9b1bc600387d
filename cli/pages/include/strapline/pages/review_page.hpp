#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/judgement.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::pages {

/// What a review page shows: one analysed set and what is known about it.
struct ReviewPageInput {
  dsp::SetAnalysis analysis;
  recordings::SetDescription description;
  coaching::Movement movement;  ///< title and cautions
  std::string recording_name;   ///< file name, for the reader
  std::optional<coaching::AimJudgement> aim;
  std::string no_aim;  ///< why there is no judgement, for the reader
  std::vector<coaching::Caution> cautions_seen;
  double pain_limit = coaching::kStrictPainLimit;  ///< 0–10
  std::string
      variation;  ///< which aim describes the set best, in a sentence; "" where not looked at
};

/// One self-contained HTML document, UTF-8: nothing in it is loaded from anywhere. Any text of the
/// input may hold any characters; invalid UTF-8 is replaced.
[[nodiscard]] std::string review_page(const ReviewPageInput& input);

}  // namespace strapline::pages
