#pragma once

namespace strapline::coaching {

/// P(Z ≤ z) of the standard normal distribution.
[[nodiscard]] double normal_cdf(double z);

/// The z with P(Z ≤ z) = p; p in (0, 1).
[[nodiscard]] double normal_quantile(double p);

/// The t with P(T ≤ t) = p at `degrees_of_freedom` > 0 (infinite: the normal one); p in (0, 1).
[[nodiscard]] double student_t_quantile(double p, double degrees_of_freedom);

}  // namespace strapline::coaching
