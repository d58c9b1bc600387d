#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace strapline::dsp {

/// The middle value; of an even number the upper of both. At least one value.
[[nodiscard]] inline double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace strapline::dsp
