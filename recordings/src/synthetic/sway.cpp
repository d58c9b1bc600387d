#include "sway.hpp"

#include <cmath>
#include <numbers>

namespace strapline::recordings::synthetic {

SwaySignal draw_sway(Random& random, double rms) {
  SwaySignal signal;
  for (Sine& s : signal) {
    s.amplitude = rms * random.uniform(0.6, 1.4);  // two sines of amplitude a have the RMS a
    s.rate = 2.0 * std::numbers::pi * random.uniform(0.15, 0.7);
    s.phase = random.uniform(0.0, 2.0 * std::numbers::pi);
  }
  return signal;
}

}  // namespace strapline::recordings::synthetic
