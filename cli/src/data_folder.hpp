#pragma once

#include <filesystem>
#include <string>

namespace strapline::cli {

/// Where one kind of the user's own files is kept: `given` where not empty, else what the
/// environment variable says, else strapline/NAME under $XDG_DATA_HOME or ~/.local/share.
[[nodiscard]] std::filesystem::path data_folder(const std::string& given,
                                                const std::string& variable,
                                                const std::string& name);

}  // namespace strapline::cli
