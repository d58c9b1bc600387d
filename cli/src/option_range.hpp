#pragma once

#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace strapline::cli {

/// An option's value must lie from `low` to `high`, both allowed. CLI11's own range says
/// "0.000000 to 45.000000".
template <class Number>
[[nodiscard]] CLI::Validator between(Number low, Number high) {
  const auto check = [low, high](std::string& text) -> std::string {
    Number value{};
    if (CLI::detail::lexical_cast(text, value) && value >= low && value <= high) return {};
    return fmt::format("{} is not a number from {} to {}", text, low, high);
  };
  return {check, fmt::format("{} to {}", low, high)};
}

}  // namespace strapline::cli
