#include "compared_sides.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace strapline::coaching {
namespace {

double date(const LoadedValue& value) { return std::floor(value.value.day); }

ComparedSide make_side(const std::vector<LoadedValue>& values) {
  ComparedSide side;
  for (const LoadedValue& value : values) side.sets.push_back(value.value.set);
  const std::vector<DailyValue> days = daily_values(values);
  side.mean.wearings = static_cast<int>(days.size());
  for (const DailyValue& day : days)
    side.mean.value += day.value / static_cast<double>(days.size());
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
    if (date(values.back()) - date(value) > window_days) continue;
    const bool taken =
        std::any_of(not_these.begin(), not_these.end(),
                    [&](const LoadedValue& other) { return other.value.set == value.value.set; });
    if (!taken) candidates.push_back(value);
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

std::vector<DailyValue> daily_values(const std::vector<LoadedValue>& values) {
  std::vector<DailyValue> days;
  for (auto first = values.begin(); first != values.end();) {
    const auto next = std::find_if(
        first, values.end(), [&](const LoadedValue& value) { return date(value) != date(*first); });
    const auto sets = static_cast<double>(next - first);
    DailyValue of_day;
    for (; first != next; ++first) {
      of_day.day += first->value.day / sets;
      of_day.value += first->value.mean.value / sets;
    }
    days.push_back(of_day);
  }
  return days;
}

std::vector<std::vector<double>> repeat_groups(const std::vector<LoadedValue>& values,
                                               const ErrorParameters& parameters) {
  std::vector<std::vector<LoadedValue>> groups;
  std::size_t open = 0;  // groups before this are too old to take another value
  for (const LoadedValue& value : values) {
    const auto in_time = [&](const std::vector<LoadedValue>& group) {
      return date(value) - date(group.front()) <= parameters.repeat_window_days;
    };
    while (open < groups.size() && !in_time(groups[open])) ++open;
    const auto group = std::find_if(
        groups.begin() + static_cast<std::ptrdiff_t>(open), groups.end(), [&](const auto& other) {
          return same_load(value.load_kg, other.front().load_kg, parameters.load_tolerance);
        });
    if (group == groups.end()) {
      groups.push_back({value});
    } else {
      group->push_back(value);
    }
  }
  std::vector<std::vector<double>> repeats;
  for (const auto& group : groups) {
    std::vector<double>& of_group = repeats.emplace_back();
    for (const DailyValue& day : daily_values(group)) of_group.push_back(day.value);
  }
  return repeats;
}

}  // namespace strapline::coaching
