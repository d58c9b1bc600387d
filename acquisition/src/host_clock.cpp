#include "strapline/acquisition/host_clock.hpp"

#include <cassert>
#include <cmath>

namespace strapline::acquisition {

using std::chrono::duration_cast;
using std::chrono::nanoseconds;
using std::chrono::steady_clock;

std::int64_t SteadyClock::now_ns() const {
  return duration_cast<nanoseconds>(steady_clock::now().time_since_epoch()).count();
}

nanoseconds SteadyClock::real_duration(std::int64_t host_ns) const { return nanoseconds(host_ns); }

ScaledClock::ScaledClock(double speed) : speed_(speed), start_(steady_clock::now()) {
  assert(speed > 0.0);
}

std::int64_t ScaledClock::now_ns() const {
  const auto elapsed = duration_cast<nanoseconds>(steady_clock::now() - start_).count();
  return std::llround(static_cast<double>(elapsed) * speed_);
}

nanoseconds ScaledClock::real_duration(std::int64_t host_ns) const {
  return nanoseconds(std::llround(static_cast<double>(host_ns) / speed_));
}

}  // namespace strapline::acquisition
