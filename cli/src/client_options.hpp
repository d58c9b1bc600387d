#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/client.hpp"

#include "command.hpp"

namespace strapline::cli {

/// What was typed about a client, as typed; what was not typed is unset.
struct ClientOptions {
  dsp::BodyDimensions body;
  std::optional<double> body_mass_kg, pain_limit;
  std::optional<std::string> kit, notes;
  std::vector<std::string> most_load, range_limit, matters, ladder;  ///< NAME=VALUE
};

void add_client_options(CLI::App& command, ClientOptions& options);

/// Puts what was typed into the client; the rest of it stays. Fails on a text that is not
/// NAME=VALUE, an unknown measure, or a value that cannot be right. "NAME=" takes an entry away.
[[nodiscard]] dsp::Result<void> take(const ClientOptions& options, coaching::Client& client);

}  // namespace strapline::cli
