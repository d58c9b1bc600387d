#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>
#include <vector>

#include <Eigen/Core>

namespace strapline::dsp {

/// The middle value; of an even number the upper of both. At least one value.
[[nodiscard]] inline double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The least value up to which half of the weight lies. At least one value; weights not negative.
[[nodiscard]] inline double weighted_median_of(const std::vector<double>& values,
                                               const std::vector<double>& weights) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  const double half = 0.5 * std::accumulate(weights.begin(), weights.end(), 0.0);
  double sum = 0.0;
  for (const std::size_t k : order) {
    sum += weights[k];
    if (sum >= half) return values[k];
  }
  return values[order.back()];
}

/// The middle value of each component. At least one vector.
[[nodiscard]] inline Eigen::Vector3d median_of(const std::vector<Eigen::Vector3d>& vectors) {
  Eigen::Vector3d middle;
  for (Eigen::Index d = 0; d < 3; ++d) {
    std::vector<double> values;
    for (const Eigen::Vector3d& v : vectors) values.push_back(v[d]);
    middle[d] = median_of(std::move(values));
  }
  return middle;
}

/// The value below which `share` of them lie; 0 of none.
[[nodiscard]] inline double quantile_of(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

/// The median of those that are no part reps: below `part_share` of the upper quartile a value is
/// one, and must not drag the median down. 0 of none.
[[nodiscard]] inline double usual_of(std::vector<double> values, double part_share) {
  const double least = part_share * quantile_of(values, 0.75);
  std::erase_if(values, [&](double value) { return value < least; });
  return quantile_of(std::move(values), 0.5);
}

}  // namespace strapline::dsp
