#include "sway.hpp"

#include <cmath>
#include <numbers>

namespace strapline::recordings::synthetic {

SwaySignal draw_sway(Random& random, double rms) {
  SwaySignal signal;
  const auto sine = [&](double from_hz, double to_hz) {
    Sine s;
    // Rayleigh (a sine of such an amplitude is normal at any time), two of them with this RMS.
    s.amplitude = rms * std::sqrt(-std::log1p(-random.uniform()));
    s.rate = 2.0 * std::numbers::pi * random.uniform(from_hz, to_hz);
    s.phase = random.uniform(0.0, 2.0 * std::numbers::pi);
    return s;
  };
  signal[0] = sine(0.03, 0.15);
  signal[1] = sine(0.15, 0.7);
  return signal;
}

}  // namespace strapline::recordings::synthetic
