#pragma once

#include <cstdint>
#include <vector>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// Mann–Kendall test for a monotonic trend.
struct MannKendall {
  std::int64_t s = 0;        ///< rising pairs minus falling pairs
  double variance = 0.0;     ///< of s without a trend, corrected for ties in time and in value
  double z = 0.0;            ///< with continuity correction: (s ∓ 1)/√variance, 0 where s is 0
  double p_one_sided = 1.0;  ///< of a trend in the direction of s, by the normal approximation
  double p_two_sided = 1.0;
};

/// Mann 1945, Kendall 1975; ties by Kendall's full formula, so that two sets of one day count as
/// neither before the other.
/// @param time any unit; order does not matter. @param value same length; at least 3, all finite.
[[nodiscard]] dsp::Result<MannKendall> mann_kendall(const std::vector<double>& time,
                                                    const std::vector<double>& value);

/// Theil–Sen line: the median of the slopes of all pairs.
struct TheilSen {
  double slope = 0.0;  ///< value's unit per time's unit
  double low = 0.0;    ///< confidence interval of the slope
  double high = 0.0;
  double intercept = 0.0;  ///< median(value) − slope · median(time)
};

/// Slope and its confidence interval by Sen 1968 (J Am Stat Assoc 63:1379–1389): order statistics
/// of the pairwise slopes at N/2 ∓ z·√Var(S)/2, rounded to whole ranks; ties as in Sen. The points
/// count as independent: of values that share an error (the sets of one day share how the straps
/// sit) give one for all.
/// @param confidence two-sided, in (0, 1). Needs 3 points at 2 times or more, all finite.
[[nodiscard]] dsp::Result<TheilSen> theil_sen(const std::vector<double>& time,
                                              const std::vector<double>& value,
                                              double confidence = 0.95);

}  // namespace strapline::coaching
