#pragma once

#include <algorithm>
#include <utility>
#include <vector>

#include "strapline/dsp/segmentation.hpp"

#include "median.hpp"

namespace strapline::dsp {

// Of the wide reps' range, or of their size or height. Figures of ours.
inline constexpr double kAsWide = 0.75;   ///< 1: as wide as they are
inline constexpr double kFarWider = 2.0;  ///< 1: something else
// Of the usual length of a repetition: it is not fast, whatever its axis shows of it.
inline constexpr double kTakesItsTime = 0.6;  ///< 1

/// s, from start to end.
[[nodiscard]] inline double length_of(const Excursion& e) { return e.end.time_s - e.start.time_s; }

/// s, of the middle one. At least one excursion.
[[nodiscard]] inline double usual_length(const std::vector<Excursion>& excursions) {
  std::vector<double> lengths;
  for (const Excursion& e : excursions) lengths.push_back(length_of(e));
  return median_of(std::move(lengths));
}

/// rad, of the middle one. At least one excursion.
[[nodiscard]] inline double usual_range(const std::vector<Excursion>& excursions) {
  std::vector<double> ranges;
  for (const Excursion& e : excursions) ranges.push_back(e.range);
  return median_of(std::move(ranges));
}

/// Those that are no part reps.
[[nodiscard]] inline std::vector<Excursion> full_of(std::vector<Excursion> excursions) {
  std::erase_if(excursions, [](const Excursion& e) { return e.part; });
  return excursions;
}

/// In time order.
inline void sort_by_start(std::vector<Excursion>& excursions) {
  std::sort(excursions.begin(), excursions.end(),
            [](const Excursion& a, const Excursion& b) { return a.start.time_s < b.start.time_s; });
}

/// Whether they have time in common.
[[nodiscard]] inline bool overlap(const Excursion& a, const Excursion& b) {
  return a.start.time_s < b.end.time_s && b.start.time_s < a.end.time_s;
}

[[nodiscard]] inline bool overlaps_any(const Excursion& e, const std::vector<Excursion>& others) {
  return std::any_of(others.begin(), others.end(),
                     [&](const Excursion& other) { return overlap(e, other); });
}

}  // namespace strapline::dsp
