#pragma once

#include <optional>
#include <vector>

#include "strapline/coaching/comparison.hpp"

namespace strapline::coaching {

/// A measure's value in one set, with what decides which sets it may be averaged with.
struct LoadedValue {
  SetValue value;
  std::optional<double> load_kg;
};

/// A date's mean over its sets: the straps sit the same for all of them, as far as anybody knows.
struct DailyValue {
  double day = 0.0;  ///< mean of its sets' days since 1970-01-01
  double value = 0.0;
};

/// @param values in time order.
[[nodiscard]] std::vector<DailyValue> daily_values(const std::vector<LoadedValue>& values);

struct Sides {
  ComparedSide baseline;
  ComparedSide latest;
};

/// @param values in time order. Empty where there are not two sets.
[[nodiscard]] std::optional<Sides> choose_sides(const std::vector<LoadedValue>& values,
                                                const ErrorParameters& parameters);

/// Groups of repeats of one condition: same load, within the repeat window, one value per day.
[[nodiscard]] std::vector<std::vector<double>> repeat_groups(const std::vector<LoadedValue>& values,
                                                             const ErrorParameters& parameters);

/// Both unlogged, or within the tolerance of each other.
[[nodiscard]] bool same_load(std::optional<double> a, std::optional<double> b, double tolerance);

}  // namespace strapline::coaching
