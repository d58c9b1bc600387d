#pragma once

#include <string>

#include "strapline/dsp/body.hpp"

#include "command.hpp"

namespace strapline::cli {

/// The parts of a recording as typed: FROM:TO, empty where not given.
struct PartOptions {
  std::string still, align, set, still_after;
};

/// Declares --still, --align, --set and --still-after. `since`: of what the seconds are counted.
void add_part_options(CLI::App& command, PartOptions& options, const std::string& since);

/// Throws CLI::ValidationError, which ends the command as misused, on a text that is not FROM:TO.
[[nodiscard]] dsp::RecordingParts parse_parts(const PartOptions& options);

}  // namespace strapline::cli
