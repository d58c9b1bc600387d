#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "strapline/coaching/comparison.hpp"

namespace strapline::cli {

/// Where a smallest difference that matters was taken from.
enum class MattersFrom { command_line, client_file };

struct Matters {
  std::string measure;  ///< base or full name
  double value = 0.0;   ///< SI
  MattersFrom from = MattersFrom::command_line;
};

/// Adds what the file of the sets' client says to what was typed and is in `options` already, which
/// goes first: a base name typed holds for its full names too. Gives all that is in force, by name.
/// A client who is not set up adds nothing. Fails where the file is faulty.
[[nodiscard]] dsp::Result<std::vector<Matters>> add_client_matters(
    const std::string& clients, const std::string& client, coaching::CompareOptions& options);

/// One line: the values and where they come from; that there are none, and how to name one.
[[nodiscard]] std::string say_matters(const std::vector<Matters>& matters);

[[nodiscard]] nlohmann::ordered_json matters_json(const std::vector<Matters>& matters);

}  // namespace strapline::cli
