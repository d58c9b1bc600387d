#pragma once

#include <filesystem>
#include <string>

#include "strapline/coaching/ladder.hpp"

namespace strapline::cli {

/// A ladder by name: one of the folder `own` before a built-in one; or, where the name ends in
/// ".toml", the ladder in that file.
[[nodiscard]] dsp::Result<coaching::Ladder> find_ladder(const std::string& name_or_path,
                                                        const std::filesystem::path& own);

}  // namespace strapline::cli
