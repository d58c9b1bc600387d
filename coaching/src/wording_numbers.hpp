#pragma once

#include <string>

namespace strapline::coaching {

/// Two decimals at most, without trailing zeros: "62.5", "7".
[[nodiscard]] std::string plain_number(double value);

/// "62.5 kg"; also 0 is a number of kilograms here (format_load says "body weight").
[[nodiscard]] std::string kilograms(double kg);

}  // namespace strapline::coaching
