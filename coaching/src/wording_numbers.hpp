#pragma once

#include <string>

namespace strapline::coaching {

/// Two decimals at most, without trailing zeros: "62.5", "7".
[[nodiscard]] std::string plain_number(double value);

}  // namespace strapline::coaching
