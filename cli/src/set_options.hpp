#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/recordings/recording.hpp"

#include "command.hpp"

namespace strapline::cli {

/// Declares the options that say who, what and how (--client, --load, --rpe, …). Values that are
/// not given leave `set` as it is. `set` must outlive the command.
void add_set_options(CLI::App& command, recordings::SetDescription& set);

/// What `note` changes of a set, as typed; what was not typed is unset.
struct SetNotes {
  std::optional<double> load_kg, effort_rpe, reps_in_reserve, pain;
  std::optional<std::string> pain_place, notes;
  std::vector<std::string> forget;  ///< names of what is to be "not logged" again

  [[nodiscard]] bool is_empty() const;
};
void add_note_options(CLI::App& command, SetNotes& notes);

/// Puts what was typed into the set; the rest of it stays. Fails on an unknown name to forget.
[[nodiscard]] dsp::Result<void> take(const SetNotes& notes, recordings::SetDescription& set);

/// Declares --height and the segment lengths, all in metres.
void add_body_options(CLI::App& command, dsp::BodyDimensions& body);

/// A date alone as its midnight, "2026-11-25T00:00:00Z"; anything else as it is.
[[nodiscard]] std::string full_time(const std::string& date);

}  // namespace strapline::cli
