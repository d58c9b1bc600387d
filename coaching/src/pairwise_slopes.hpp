#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace strapline::coaching {

/// A point of a trend.
struct TrendPoint {
  double time = 0.0;
  double value = 0.0;
};

/// By time, then by value.
[[nodiscard]] std::vector<TrendPoint> in_order(const std::vector<double>& time,
                                               const std::vector<double>& value);

/// Pairs of points that fall in time: the earlier one has the greater value. O(n log n): Knight
/// 1966 (J Am Stat Assoc 61:436–439).
/// @param points in order.
[[nodiscard]] std::int64_t falling_pairs(const std::vector<TrendPoint>& points);

/// The slopes of the given ranks (0 is the least, rising) among the slopes of all pairs of points
/// at different times; exactly what sorting all of them would give. Few points: all slopes are
/// formed. Many: only those in a bracket round the ranks, found from a sample and confirmed by
/// counting the pairs outside of it (the idea of Matoušek 1991, Inform Process Lett 39:183–187), so
/// that n points cost some n^1.5. Many equal slopes at the ranks are all formed.
/// @param points in order, all finite. @param ranks below the number of such pairs.
[[nodiscard]] std::vector<double> slopes_of_rank(const std::vector<TrendPoint>& points,
                                                 const std::vector<std::size_t>& ranks);

/// Pairs of points at different times.
[[nodiscard]] std::size_t pairs_in_time(const std::vector<TrendPoint>& points);

}  // namespace strapline::coaching
