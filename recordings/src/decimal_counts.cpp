#include "decimal_counts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace strapline::recordings {
namespace {

// Finer than any sensor resolves, and 10^12 is exact in a double.
constexpr int kFinest = 12;

}  // namespace

double power_of_ten(int exponent) {
  // std::pow of whole powers up to 10^22 is exact with correctly rounded libraries only; this is
  // exact everywhere.
  double power = 1.0;
  for (int i = 0; i < std::abs(exponent); ++i) power *= 10.0;
  return exponent < 0 ? 1.0 / power : power;
}

DecimalScale DecimalScale::choose(int needed, int at_least, double largest) {
  constexpr double kMost = std::numeric_limits<std::int32_t>::max();
  DecimalScale scale{std::min(std::max(needed, at_least), kFinest)};
  while (largest * power_of_ten(scale.decimals) > kMost) --scale.decimals;
  return scale;
}

std::int32_t DecimalScale::count(double value) const {
  return static_cast<std::int32_t>(std::lround(value * power_of_ten(decimals)));
}

double DecimalScale::value(std::int32_t count) const {
  // Dividing by an exact power gives the double nearest to the decimal text.
  return decimals >= 0 ? count / power_of_ten(decimals) : count * power_of_ten(-decimals);
}

}  // namespace strapline::recordings
