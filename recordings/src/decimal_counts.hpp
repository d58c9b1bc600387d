#pragma once

#include <cstdint>

namespace strapline::recordings {

/// 10^exponent, exact for 0 ≤ exponent ≤ 22.
[[nodiscard]] double power_of_ten(int exponent);

/// A decimal scale for 32-bit counts: one count is 10^-decimals of the text's unit.
struct DecimalScale {
  int decimals = 0;
  /// As fine as the text needs and not coarser than `at_least` decimals, as long as the largest
  /// size still fits in 32 bits.
  static DecimalScale choose(int needed, int at_least, double largest);

  [[nodiscard]] std::int32_t count(double value) const;
  [[nodiscard]] double value(std::int32_t count) const;
};

}  // namespace strapline::recordings
