#pragma once

#include <filesystem>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/set_analysis.hpp"

namespace strapline::recordings {

/// Stores an analysis in the recording's `/results` group, in place of any earlier one. The file
/// is copied, the copy changed and renamed over it: the readings are never changed in place, and
/// whatever else the file holds stays. Fails where the file cannot be read as a recording, a
/// trace's length is not that of the time, a measure has two units, or the disk refuses; the file
/// is then as before.
[[nodiscard]] dsp::Result<void> write_results(const std::filesystem::path& recording,
                                              const dsp::SetAnalysis& analysis);

/// The stored analysis. Fails where there is none, and as read_recording fails.
[[nodiscard]] dsp::Result<dsp::SetAnalysis> read_results(const std::filesystem::path& recording);

}  // namespace strapline::recordings
