#pragma once

#include <array>

#include "strapline/recordings/synthetic/random.hpp"

#include "jet.hpp"

namespace strapline::recordings::synthetic {

struct Sine {
  double amplitude = 0.0, rate = 0.0, phase = 0.0;  ///< unit, rad/s, rad
};
using SwaySignal = std::array<Sine, 2>;

/// Wandering with this RMS over all draws, normal at any time, which is what posturography's 95 %
/// ellipse takes sway for (Prieto et al. 1996, from memory): half of it to and fro within seconds,
/// half of it so slow that a still part of four seconds does not average it out (quiet standing has
/// most of its sway below 0.5 Hz and much of that below 0.1: posturography, from memory).
[[nodiscard]] SwaySignal draw_sway(Random& random, double rms);

template <class S>
S sway_at(const SwaySignal& signal, const S& t) {
  using std::sin;
  S sum(0.0);
  for (const Sine& s : signal) sum += S(s.amplitude) * sin(S(s.rate) * t + S(s.phase));
  return sum;
}

}  // namespace strapline::recordings::synthetic
