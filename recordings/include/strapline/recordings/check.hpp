#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace strapline::recordings {

/// `loss`: data is missing or doubtful, the rest can be used. `fault`: the file, or a strap of it,
/// cannot be used.
enum class Severity { note, loss, fault };

struct Finding {
  Severity severity = Severity::note;
  std::string text;  ///< one line
};

/// Reads the whole file, so that every checksum is verified, and says what it finds: schema; what
/// was entered; per strap the samples, times, gaps, saturation, clock, rate and losses; parts that
/// are missing; stored results. A damaged strap does not hide the others. Never empty.
[[nodiscard]] std::vector<Finding> check_recording(const std::filesystem::path& path);

}  // namespace strapline::recordings
