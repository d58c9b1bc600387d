#include "pairwise_slopes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <random>

namespace strapline::coaching {
namespace {

constexpr std::size_t kFewPairs = std::size_t{1} << 14;  // formed all at once

/// A greater sample makes a narrower bracket; the two cost about the same at this size.
std::size_t sample_size(std::size_t pairs) {
  return std::clamp(pairs / 32, std::size_t{1} << 11, std::size_t{1} << 16);
}

double slope(const TrendPoint& from, const TrendPoint& to) {
  return (to.value - from.value) / (to.time - from.time);
}

/// Sorts [first, last) and calls `report(earlier, later)` with the ranges of every
/// merge, each sorted; `later` came behind `earlier`.
template <class Item, class Less, class Report>
void merge_sort(std::vector<Item>& items, std::size_t first, std::size_t last, Less less,
                Report report) {
  if (last - first < 2) return;
  const std::size_t middle = first + (last - first) / 2;
  merge_sort(items, first, middle, less, report);
  merge_sort(items, middle, last, less, report);
  const auto at = [&](std::size_t i) { return items.begin() + static_cast<std::ptrdiff_t>(i); };
  report(at(first), at(middle), at(last));
  std::inplace_merge(at(first), at(middle), at(last), less);
}

std::int64_t inversions(std::vector<double> values) {
  std::int64_t count = 0;
  const auto report = [&](auto left, auto right, auto end) {
    const auto middle = right;
    for (; right != end; ++right) {
      while (left != middle && *left <= *right) ++left;
      count += middle - left;
    }
  };
  merge_sort(values, 0, values.size(), std::less<>(), report);
  return count;
}

std::vector<double> all_slopes(const std::vector<TrendPoint>& points) {
  std::vector<double> slopes;
  slopes.reserve(pairs_in_time(points));
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = i + 1; j < points.size(); ++j) {
      if (points[j].time > points[i].time) slopes.push_back(slope(points[i], points[j]));
    }
  }
  return slopes;
}

/// Values at rising ranks; reorders the slopes.
std::vector<double> select(std::vector<double>& slopes, const std::vector<std::size_t>& ranks) {
  std::vector<double> selected;
  auto from = slopes.begin();
  for (const std::size_t rank : ranks) {
    const auto at = slopes.begin() + static_cast<std::ptrdiff_t>(rank);
    if (at >= from) {  // else the same rank again
      std::nth_element(from, at, slopes.end());
      from = at + 1;
    }
    selected.push_back(*at);
  }
  return selected;
}

/// Slopes of random pairs, sorted. The same points give the same sample.
std::vector<double> sample_of(const std::vector<TrendPoint>& points, std::size_t size) {
  std::mt19937 random(1);
  std::uniform_int_distribution<std::size_t> any(0, points.size() - 1);
  std::vector<double> sample;
  // Bounded, because all but a few points may share one time.
  for (std::size_t draw = 0; draw < 4 * size && sample.size() < size; ++draw) {
    const TrendPoint& a = points[any(random)];
    const TrendPoint& b = points[any(random)];
    if (a.time != b.time) sample.push_back(slope(a, b));
  }
  std::sort(sample.begin(), sample.end());
  return sample;
}

struct Bracket {
  double low, high;
};

Bracket bracket_of(const std::vector<double>& sample, const std::vector<std::size_t>& ranks,
                   std::size_t pairs, double sigmas) {
  // A sample's share has a standard deviation of at most half of 1/√size.
  const double slack = sigmas * 0.5 / std::sqrt(static_cast<double>(sample.size()));
  const auto at_share = [&](double share) {
    const double last = static_cast<double>(sample.size() - 1);
    return sample[static_cast<std::size_t>(std::clamp(share, 0.0, 1.0) * last)];
  };
  const double all = static_cast<double>(pairs);
  return {at_share(static_cast<double>(ranks.front()) / all - slack),
          at_share(static_cast<double>(ranks.back()) / all + slack)};
}

/// The bracket with room for rounding: a pair whose slope, as computed, lies in the bracket is not
/// outside the wider one, whatever the rounding of `turned` does.
Bracket widened(const Bracket& bracket, const std::vector<TrendPoint>& points) {
  double largest = 0.0;
  double shortest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < points.size(); ++i) {
    largest = std::max(largest, std::abs(points[i].value));
    if (i > 0 && points[i].time > points[i - 1].time) {
      shortest = std::min(shortest, points[i].time - points[i - 1].time);
    }
  }
  const double steepest = std::max(std::abs(bracket.low), std::abs(bracket.high));
  const double longest = points.back().time - points.front().time;
  constexpr double kUnit = std::numeric_limits<double>::epsilon();
  const double room = 32.0 * kUnit * (largest + steepest * longest) / shortest;
  return {bracket.low - room, bracket.high + room};
}

/// Values with a line of this slope through the first point taken away: a pair of points with a
/// greater slope rises.
std::vector<double> turned(const std::vector<TrendPoint>& points, double slope) {
  std::vector<double> values;
  values.reserve(points.size());
  for (const TrendPoint& point : points) {
    values.push_back(point.value - slope * (point.time - points.front().time));
  }
  return values;
}

/// Slopes of the pairs that rise against the bracket's low slope and do not against its high one.
std::vector<double> slopes_between(const std::vector<TrendPoint>& points,
                                   const std::vector<double>& against_low,
                                   const std::vector<double>& against_high) {
  std::vector<std::size_t> order(points.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(),
                   [&](auto a, auto b) { return against_low[a] < against_low[b]; });
  std::vector<double> slopes;
  const auto report = [&](auto left, auto right, auto end) {
    const auto middle = right;
    for (; right != end; ++right) {
      while (left != middle && against_high[*left] < against_high[*right]) ++left;
      for (auto other = left; other != middle; ++other) {
        const TrendPoint& from = points[*other];
        const TrendPoint& to = points[*right];
        if (to.time > from.time) slopes.push_back(slope(from, to));
      }
    }
  };
  merge_sort(
      order, 0, order.size(), [&](auto a, auto b) { return against_high[a] < against_high[b]; },
      report);
  return slopes;
}

/// Empty where the bracket does not hold all of the ranks.
std::optional<std::vector<double>> select_in(const Bracket& bracket,
                                             const std::vector<TrendPoint>& points,
                                             std::vector<std::size_t> ranks) {
  const Bracket wide = widened(bracket, points);
  const auto against_low = turned(points, wide.low);
  const auto below = static_cast<std::size_t>(inversions(against_low));
  if (ranks.front() < below) return std::nullopt;
  auto slopes = slopes_between(points, against_low, turned(points, wide.high));
  if (ranks.back() - below >= slopes.size()) return std::nullopt;
  for (std::size_t& rank : ranks) rank -= below;
  auto selected = select(slopes, ranks);
  // Only inside the bracket itself is it certain that every other pair lies on its own side.
  const bool inside = bracket.low <= selected.front() && selected.back() <= bracket.high;
  return inside ? std::optional(std::move(selected)) : std::nullopt;
}

}  // namespace

std::vector<TrendPoint> in_order(const std::vector<double>& time,
                                 const std::vector<double>& value) {
  std::vector<TrendPoint> points(time.size());
  for (std::size_t i = 0; i < points.size(); ++i) points[i] = {time[i], value[i]};
  std::sort(points.begin(), points.end(), [](const TrendPoint& a, const TrendPoint& b) {
    return a.time != b.time ? a.time < b.time : a.value < b.value;
  });
  return points;
}

std::int64_t falling_pairs(const std::vector<TrendPoint>& points) {
  std::vector<double> values;
  values.reserve(points.size());
  for (const TrendPoint& point : points) values.push_back(point.value);
  return inversions(std::move(values));
}

std::size_t pairs_in_time(const std::vector<TrendPoint>& points) {
  std::size_t pairs = 0;
  std::size_t earlier = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (i > 0 && points[i].time != points[i - 1].time) earlier = i;
    pairs += earlier;
  }
  return pairs;
}

std::vector<double> slopes_of_rank(const std::vector<TrendPoint>& points,
                                   const std::vector<std::size_t>& ranks) {
  const std::size_t pairs = pairs_in_time(points);
  if (pairs > kFewPairs) {
    const std::vector<double> sample = sample_of(points, sample_size(pairs));
    for (const double sigmas : {4.0, 16.0}) {
      if (sample.empty()) break;
      const Bracket bracket = bracket_of(sample, ranks, pairs, sigmas);
      if (auto found = select_in(bracket, points, ranks)) return *found;
    }
  }
  std::vector<double> slopes = all_slopes(points);
  return select(slopes, ranks);
}

}  // namespace strapline::coaching
