#pragma once

#include <string>
#include <vector>

#include "strapline/acquisition/session_result.hpp"
#include "strapline/dsp/failure.hpp"
#include "strapline/recordings/recording.hpp"

#include "session_notes.hpp"

namespace strapline::cli {

/// Marks that a session puts into its journal where a part begins; kPartsOver ends the last.
inline constexpr const char* kStillMark = "still";
inline constexpr const char* kAlignMark = "align";
inline constexpr const char* kSetMark = "set";
inline constexpr const char* kStillAfterMark = "still_after";
inline constexpr const char* kPartsOver = "over";

/// A recording made from what a session's journal holds.
struct SessionRecording {
  recordings::Recording recording;
  std::vector<std::string> losses;  ///< one line each: what is missing from it
  std::vector<std::string> notes;   ///< one line each: what a person should know
  bool whole = true;  ///< false: the journal holds readings that the recording does not
};

/// Errors of a part that we know (a simulated one), else the cautious defaults.
[[nodiscard]] dsp::SensorErrors errors_of_part(const std::string& part_name, double rate_hz);

/// The one way from a session, live or recovered, to a recording. The common time is moved so that
/// the first reading is at 0. Parts come from the notes or from the marks, cut to the readings.
/// `source`: "live" or "recovered". Fails where there is no reading.
[[nodiscard]] dsp::Result<SessionRecording> to_recording(const acquisition::SessionResult& session,
                                                         const SessionNotes& notes,
                                                         const std::string& source);

}  // namespace strapline::cli
