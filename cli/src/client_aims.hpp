#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/aim.hpp"
#include "strapline/coaching/client.hpp"

namespace strapline::cli {

/// The aim in a .toml file, else the client's own of this name in the folder `own` (which may be
/// empty or missing), else the built-in one.
[[nodiscard]] dsp::Result<coaching::Aim> find_aim(const std::string& name_or_path,
                                                  const std::filesystem::path& own);

/// Names of the aims in the folder `own`, sorted; none where it is missing.
[[nodiscard]] std::vector<std::string> own_aims(const std::filesystem::path& own);

/// The client's active aim for a set, or why there is none.
struct ActiveAim {
  std::optional<coaching::Aim> aim;
  std::string why_none;  ///< one sentence with what to do
};

/// Of the client's active aims for the movement: the one for this variation, else the one for any
/// variation, else the only one. Fails where an active aim cannot be found or read.
[[nodiscard]] dsp::Result<ActiveAim> active_aim(const coaching::Client& client,
                                                const std::filesystem::path& own,
                                                const std::string& movement,
                                                const std::string& variation);

}  // namespace strapline::cli
