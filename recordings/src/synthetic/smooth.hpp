#pragma once

#include "jet.hpp"

namespace strapline::recordings::synthetic {

/// 0 for x ≤ 0, 1 for x ≥ 1, in between the polynomial of degree 7 with three continuous
/// derivatives: 35x⁴ − 84x⁵ + 70x⁶ − 20x⁷. So accelerations, and their change, are continuous.
template <class S>
S smoothstep(const S& x) {
  if (value_of(x) <= 0.0) return S(0.0);
  if (value_of(x) >= 1.0) return S(1.0);
  const S x2 = x * x;
  return x2 * x2 * (S(35.0) + x * (S(-84.0) + x * (S(70.0) - S(20.0) * x)));
}

/// 0 outside (0, 1), 1 at ½: 256 x⁴ (1−x)⁴, three continuous derivatives.
template <class S>
S bump(const S& x) {
  if (value_of(x) <= 0.0 || value_of(x) >= 1.0) return S(0.0);
  const S y = x * (S(1.0) - x);
  const S y2 = y * y;
  return S(256.0) * y2 * y2;
}

/// smoothstep with its speed moved earlier (skew > 0) or later. Monotone for |skew| < 0.136: the
/// bump's slope is 7.31·(1−2x) times the step's.
template <class S>
S skewed_step(const S& x, double skew) {
  return smoothstep(x) + S(skew) * bump(x);
}

/// A step that sticks half-way, as the last rep's lifting does: two steps of 0.64 of the duration,
/// one after the other and overlapping; monotone, its speed falls to half of its peak in between.
template <class S>
S sticking_step(const S& x) {
  constexpr double kEach = 0.64;
  return S(0.5) * (smoothstep<S>(x / S(kEach)) + smoothstep<S>((x - S(1.0 - kEach)) / S(kEach)));
}

/// Share of a smoothstep's duration before its rate reaches 5 % of its peak (and after it falls
/// below): x(1−x) = ¼·0.05^⅓.
inline constexpr double kOnsetShare = 0.10263;

}  // namespace strapline::recordings::synthetic
