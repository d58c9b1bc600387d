#include "strapline/dsp/reading_lag.hpp"

#include <algorithm>

#include "strapline/dsp/inertial_series.hpp"

namespace strapline::dsp {

double usual_reading_lag(double rate_hz) {
  constexpr double kInnerPeriod = 1e-3;  // s
  return std::max(SensorErrors{}.reading_lag, 0.5 * (1.0 / rate_hz - kInnerPeriod));
}

}  // namespace strapline::dsp
