#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace strapline::coaching::testing {

/// The words in a text that would call a rep, a client or a variation wrong or bad, in small
/// letters, in order. Whole words only: "badge" is none.
[[nodiscard]] std::vector<std::string> judging_words(std::string_view text);

/// The string literals of a C++ source, one a line; comments and characters are left out.
[[nodiscard]] std::string string_literals(std::string_view source);

}  // namespace strapline::coaching::testing
