#pragma once

#include <filesystem>
#include <string>

#include "strapline/dsp/failure.hpp"

namespace strapline::cli {

/// A whole text file. Fails in one line where there is none or it cannot be read.
[[nodiscard]] dsp::Result<std::string> read_text(const std::filesystem::path& path);

/// Writes a text file completely or not at all (a temporary name, then renamed); what was there
/// before goes. Fails in one line where the disk refuses.
[[nodiscard]] dsp::Result<void> write_text(const std::filesystem::path& path,
                                           const std::string& text);

/// As write_text, for a page: refuses a name that does not end in .html, so that a slip never
/// replaces a recording.
[[nodiscard]] dsp::Result<void> write_page(const std::filesystem::path& path,
                                           const std::string& html);

}  // namespace strapline::cli
