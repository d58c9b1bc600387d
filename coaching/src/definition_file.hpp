#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// The built-in TOML texts of one kind, as strapline_embed_text made them.
struct BuiltInTexts {
  std::string kind;  ///< "movement", for messages
  const std::vector<std::string_view>& file_names;
  std::string_view (*text)(std::string_view file_name);
};

/// A definition's text, and what messages call its file.
struct DefinitionText {
  std::string toml;
  std::string where;
};

/// "squat.toml", … as "squat", …, sorted.
[[nodiscard]] std::vector<std::string> built_in_names(
    const std::vector<std::string_view>& file_names);

/// The built-in text of this name, or, where `name_or_path` ends in ".toml", that file's.
/// Fails, naming the built-in ones, where there is neither.
[[nodiscard]] dsp::Result<DefinitionText> definition_text(const BuiltInTexts& built_in,
                                                          const std::string& name_or_path);

}  // namespace strapline::coaching
