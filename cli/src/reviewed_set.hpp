#pragma once

#include <filesystem>
#include <string>

#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// A recording with what its analysis says.
struct ReviewedSet {
  std::filesystem::path file;
  recordings::Recording recording;
  coaching::Movement movement;
  dsp::SetAnalysis analysis;
};

/// Reads and analyses a recording, as the movement it names or as `movement` (a name or a .toml
/// file) where that is not empty. A failure names the file.
[[nodiscard]] dsp::Result<ReviewedSet> review_file(const std::filesystem::path& file,
                                                   const std::string& movement = {});

}  // namespace strapline::cli
