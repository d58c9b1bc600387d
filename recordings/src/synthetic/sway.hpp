#pragma once

#include <array>

#include "strapline/recordings/synthetic/random.hpp"

#include "jet.hpp"

namespace strapline::recordings::synthetic {

struct Sine {
  double amplitude = 0.0, rate = 0.0, phase = 0.0;  ///< unit, rad/s, rad
};
using SwaySignal = std::array<Sine, 2>;

/// Slow wandering with this RMS, up to a factor of 1.4.
[[nodiscard]] SwaySignal draw_sway(Random& random, double rms);

template <class S>
S sway_at(const SwaySignal& signal, const S& t) {
  using std::sin;
  S sum(0.0);
  for (const Sine& s : signal) sum += S(s.amplitude) * sin(S(s.rate) * t + S(s.phase));
  return sum;
}

}  // namespace strapline::recordings::synthetic
