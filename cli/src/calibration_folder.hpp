#pragma once

#include <filesystem>
#include <ostream>
#include <string>

#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// Where straps' calibrations are kept: `given` where not empty, else $STRAPLINE_CALIBRATIONS, else
/// strapline/calibrations under $XDG_DATA_HOME or ~/.local/share.
[[nodiscard]] std::filesystem::path calibration_folder(const std::string& given = {});

/// Gives every strap of a new recording the calibration kept for its device. One that cannot be
/// read is said on `err` and left out: a recording is worth more than its calibration.
void take_calibrations(const std::filesystem::path& folder, recordings::Recording& recording,
                       std::ostream& err);

/// "calibrated 2026-11-20" or "not calibrated".
[[nodiscard]] std::string calibration_words(const recordings::StrapRecord& strap);

}  // namespace strapline::cli
