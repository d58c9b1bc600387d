#pragma once

#include <string_view>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::recordings {

/// The placement of this name; fails naming the valid ones.
[[nodiscard]] dsp::Result<dsp::Placement> parse_placement(std::string_view name);

/// What cannot be right in what was entered, one line each; empty where all is well.
/// Client and movement named; load not negative; effort 1–10; reps in reserve not negative; pain
/// 0–10; started_utc as "2026-11-25T08:00:00Z".
[[nodiscard]] std::vector<dsp::Failure> problems(const SetDescription& set);

/// Height 0.5–2.6 m, segments 0.05–1 m.
[[nodiscard]] std::vector<dsp::Failure> problems(const dsp::BodyDimensions& body);

/// FROM before TO, and inside the common time that the straps cover (0.1 s are let pass).
[[nodiscard]] std::vector<dsp::Failure> problems(const dsp::RecordingParts& parts,
                                                 const std::vector<StrapRecord>& straps);

/// All of the above, two straps on one placement (save `other`), and times that do not increase.
[[nodiscard]] std::vector<dsp::Failure> problems(const Recording& recording);

/// The first of the problems, or success.
[[nodiscard]] dsp::Result<void> validate(const Recording& recording);

}  // namespace strapline::recordings
