#pragma once

#include <filesystem>
#include <string>

#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::recordings {

enum class Overwrite : bool { no, yes };

/// Writes the recording as SCHEMA.md describes, under a temporary name (`path`.part), synced and
/// then renamed. Fails, leaving nothing behind, where the file exists and may not be replaced, the
/// client is empty, there is no strap, the lengths of a strap's columns differ, or the disk
/// refuses. What was entered is not judged here (see validate.hpp): nothing recorded is lost
/// because of a wrong number typed beside it.
[[nodiscard]] dsp::Result<void> write_recording(const std::filesystem::path& path,
                                                const Recording& recording,
                                                Overwrite overwrite = Overwrite::no);

/// Replaces what was entered for the set: nothing that is unset or empty in `description` stays
/// entered. As with write_results the file is copied, the copy changed and renamed over it; the
/// readings, the results and whatever others added stay. Fails where the file is no recording, the
/// client is empty, or the disk refuses; the file is then as before.
[[nodiscard]] dsp::Result<void> rewrite_description(const std::filesystem::path& path,
                                                    const SetDescription& description);

/// Reads a whole recording; unknown attributes, groups and data sets are ignored.
/// Fails in one line where the file is missing, not HDF5, not a recording, of a newer major
/// schema, cut short, damaged (checksum), incomplete, or inconsistent in its lengths.
[[nodiscard]] dsp::Result<Recording> read_recording(const std::filesystem::path& path);

/// 16 hexadecimal digits that name this set: a 64-bit FNV-1a digest of its start time and of every
/// strap's placement, device, scales, ticks and counts. The same readings give the same name,
/// whatever the file is called and whatever was noted beside them. Not for security.
[[nodiscard]] std::string set_id(const Recording& recording);

}  // namespace strapline::recordings
