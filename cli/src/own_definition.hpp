#pragma once

#include <filesystem>
#include <string>

namespace strapline::cli {

/// A client's own definitions (aims, ladders) go before built-in ones: the path of `OWN/NAME.toml`
/// where there is such a file, else what was given. Empty `own`: none.
[[nodiscard]] std::string own_or_given(const std::string& name_or_path,
                                       const std::filesystem::path& own);

}  // namespace strapline::cli
