#pragma once

#include <string>

#include "strapline/dsp/body.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

namespace strapline::cli {

/// What is known of a set before its first reading; kept as the journal's metadata, so that a
/// recording can be made from a journal alone.
struct SessionNotes {
  recordings::SetDescription description;
  dsp::BodyDimensions body;
  dsp::RecordingParts parts;  ///< s since the first reading, where they were given beforehand
};

/// One JSON object with a format name and version; unset fields are left out.
[[nodiscard]] std::string to_json(const SessionNotes& notes);

/// Inverse of to_json. Unknown fields are ignored. Fails where the text is of another kind.
[[nodiscard]] dsp::Result<SessionNotes> notes_from_json(const std::string& text);

}  // namespace strapline::cli
