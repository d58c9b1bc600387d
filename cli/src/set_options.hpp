#pragma once

#include <string>

#include "strapline/recordings/recording.hpp"

#include "command.hpp"

namespace strapline::cli {

/// Declares the options that say who, what and how (--client, --load, --rpe, …). Values that are
/// not given leave `set` as it is. `set` must outlive the command.
void add_set_options(CLI::App& command, recordings::SetDescription& set);

/// Declares --height and the segment lengths, all in metres.
void add_body_options(CLI::App& command, dsp::BodyDimensions& body);

/// A date alone as its midnight, "2026-11-25T00:00:00Z"; anything else as it is.
[[nodiscard]] std::string full_time(const std::string& date);

}  // namespace strapline::cli
