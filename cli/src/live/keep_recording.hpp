#pragma once

#include <filesystem>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// Writes the recording, reads it back and compares every tick and count. Only after that may what
/// it was made from be removed. Fails where the file exists.
[[nodiscard]] dsp::Result<void> keep_recording(const std::filesystem::path& path,
                                               const recordings::Recording& recording);

}  // namespace strapline::cli
