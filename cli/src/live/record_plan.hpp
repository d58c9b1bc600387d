#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "strapline/acquisition/session.hpp"
#include "strapline/coaching/movement.hpp"

#include "../part_options.hpp"
#include "session_notes.hpp"

namespace strapline::cli {

/// What was typed after `record`, as typed.
struct RecordOptions {
  SessionNotes notes;
  std::vector<std::string> straps;  ///< PLACEMENT=ADDRESS
  PartOptions parts;
  std::string output;
  std::string logbook;
  std::string clients;
  std::optional<double> seconds;
  double speed = 1.0;
  bool json = false;
};

void add_record_options(CLI::App& command, RecordOptions& options);

/// The same, understood and checked: nothing has been opened yet.
struct RecordPlan {
  SessionNotes notes;  ///< begun now
  std::vector<acquisition::StrapRequest> straps;
  std::vector<dsp::Placement> placements;
  coaching::Movement movement;
  std::string movement_source;  ///< its name or file
  std::filesystem::path output;
  std::filesystem::path journal;
  std::filesystem::path logbook;  ///< empty: none
  std::optional<double> seconds;
  double speed = 1.0;
};

/// Fails on whatever can be known to be wrong before a strap is asked: an unknown placement,
/// movement or address, a strap or placement given twice, a value that cannot be right, a required
/// placement that is missing, a file that exists. What is not typed and the client's file knows
/// (kit, height and lengths, the logbook in the client's folder) is taken from there.
[[nodiscard]] dsp::Result<RecordPlan> make_plan(const RecordOptions& options);

}  // namespace strapline::cli
