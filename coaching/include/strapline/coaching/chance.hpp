#pragma once

namespace strapline::coaching {

/// What chance does to a comparison whose truth is known.

/// How often a true `difference` between means over n₁ and n₂ wearings is called changed
/// (change.hpp) where the SEM is estimated without bias from own repeats: both tails of the
/// noncentral t distribution with noncentrality difference/(SEM·√(1/n₁ + 1/n₂)).
/// @param standard_error of the difference, in its unit, > 0.
[[nodiscard]] double chance_by_own_repeats(double difference, double standard_error,
                                           double degrees_of_freedom);

/// The same where the limit does not depend on the values compared: Φ of what lies beyond it.
/// @param mdc95 in the difference's unit.
[[nodiscard]] double chance_beyond(double difference, double standard_error, double mdc95);

struct Interval {
  double low = 0.0;
  double high = 0.0;
};

/// Interval of a share by Clopper & Pearson 1934 (doi 10.1093/biomet/26.4.404): exact, that is, it
/// holds the true share at least as often as `confidence`, two-sided, says.
/// @param of > 0, `count` of them.
[[nodiscard]] Interval share_interval(int count, int of, double confidence = 0.95);

}  // namespace strapline::coaching
