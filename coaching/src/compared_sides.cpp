#include "compared_sides.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace strapline::coaching {
namespace {

double date(const LoadedValue& value) { return std::floor(value.value.day); }

/// One value per date: the straps sit the same for all sets of a day, as far as anybody knows.
std::vector<double> daily_means(const std::vector<LoadedValue>& values) {
  std::map<double, std::vector<double>> by_date;
  for (const LoadedValue& value : values) by_date[date(value)].push_back(value.value.mean.value);
  std::vector<double> means;
  for (const auto& [day, of_day] : by_date) {
    double mean = 0.0;
    for (const double value : of_day) mean += value / static_cast<double>(of_day.size());
    means.push_back(mean);
  }
  return means;
}

ComparedSide make_side(const std::vector<LoadedValue>& values) {
  ComparedSide side;
  for (const LoadedValue& value : values) side.sets.push_back(value.value.set);
  const std::vector<double> means = daily_means(values);
  side.mean.wearings = static_cast<int>(means.size());
  for (const double mean : means) side.mean.value += mean / static_cast<double>(means.size());
  return side;
}

double load_distance(std::optional<double> a, std::optional<double> b) {
  if (a.has_value() != b.has_value()) return std::numeric_limits<double>::infinity();
  return a ? std::abs(*a - *b) : 0.0;
}

std::vector<LoadedValue> at_load(const std::vector<LoadedValue>& values, std::optional<double> load,
                                 double tolerance) {
  std::vector<LoadedValue> kept;
  for (const LoadedValue& value : values) {
    if (same_load(value.load_kg, load, tolerance)) kept.push_back(value);
  }
  return kept;
}

/// The first week's sets, without the last day; of a single day, all but the last set.
std::vector<LoadedValue> baseline_candidates(const std::vector<LoadedValue>& values,
                                             double window_days) {
  const bool one_day = date(values.front()) == date(values.back());
  if (one_day) return {values.begin(), values.end() - 1};
  std::vector<LoadedValue> candidates;
  for (const LoadedValue& value : values) {
    const bool first_week = date(value) - date(values.front()) <= window_days;
    if (first_week && date(value) < date(values.back())) candidates.push_back(value);
  }
  return candidates;
}

/// The last week's sets that the baseline leaves; of a single day, the last set.
std::vector<LoadedValue> latest_candidates(const std::vector<LoadedValue>& values,
                                           const std::vector<LoadedValue>& not_these,
                                           double window_days) {
  std::vector<LoadedValue> candidates;
  for (const LoadedValue& value : values) {
    const bool taken =
        std::any_of(not_these.begin(), not_these.end(),
                    [&](const LoadedValue& other) { return other.value.set == value.value.set; });
    if (!taken && date(values.back()) - date(value) <= window_days) candidates.push_back(value);
  }
  return candidates;
}

}  // namespace

bool same_load(std::optional<double> a, std::optional<double> b, double tolerance) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::abs(*a - *b) <= tolerance * std::max(std::abs(*a), std::abs(*b));
}

std::optional<Sides> choose_sides(const std::vector<LoadedValue>& values,
                                  const ErrorParameters& parameters) {
  if (values.size() < 2) return std::nullopt;
  const std::optional<double> last_load = values.back().load_kg;
  const auto early = baseline_candidates(values, parameters.repeat_window_days);
  const auto nearest =
      std::min_element(early.begin(), early.end(), [&](const LoadedValue& a, const LoadedValue& b) {
        return load_distance(a.load_kg, last_load) < load_distance(b.load_kg, last_load);
      });
  const auto baseline = at_load(early, nearest->load_kg, parameters.load_tolerance);
  const auto late = latest_candidates(values, early, parameters.repeat_window_days);
  return Sides{make_side(baseline), make_side(at_load(late, last_load, parameters.load_tolerance))};
}

std::vector<std::vector<double>> repeat_groups(const std::vector<LoadedValue>& values,
                                               const ErrorParameters& parameters) {
  std::vector<std::vector<double>> groups;
  std::vector<LoadedValue> left = values;
  while (!left.empty()) {
    const LoadedValue first = left.front();
    const auto same_condition = [&](const LoadedValue& value) {
      return date(value) - date(first) <= parameters.repeat_window_days &&
             same_load(value.load_kg, first.load_kg, parameters.load_tolerance);
    };
    const auto others = std::stable_partition(left.begin(), left.end(), same_condition);
    groups.push_back(daily_means({left.begin(), others}));
    left.erase(left.begin(), others);
  }
  return groups;
}

}  // namespace strapline::coaching
