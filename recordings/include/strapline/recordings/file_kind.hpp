#pragma once

#include <filesystem>

#include "strapline/dsp/failure.hpp"

namespace strapline::recordings {

enum class FileKind {
  recording,
  logbook,
  other  ///< no HDF5 file, or one of somebody else
};

/// What the file says it is, whatever its version. Fails where it is missing, cannot be read, or is
/// an HDF5 file that is cut short or damaged.
[[nodiscard]] dsp::Result<FileKind> file_kind(const std::filesystem::path& path);

}  // namespace strapline::recordings
