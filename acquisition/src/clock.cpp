#include "strapline/acquisition/clock.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "clock_bounds.hpp"

namespace strapline::acquisition {
namespace {

constexpr double kNs = 1e-9;
/// Skew is fitted once the pings span this long; before, a quartz's nominal rate is better.
constexpr double kSkewSpan_s = 5.0;
constexpr std::size_t kSkewPings = 8;
/// Of a quartz, common practice (from memory): within 100 ppm, taken as uniform.
constexpr double kQuartz_ppm = 100.0;
constexpr std::size_t kSubsets = 4;

double uniform_u(double width) { return width / std::sqrt(12.0); }

// Seconds relative to the first ping; device time at the nominal rate.
struct Frame {
  std::int64_t ns0, tick0;
  double tick_hz;
  [[nodiscard]] ClockBounds bounds(std::span<const Ping> pings, std::size_t first,
                                   std::size_t step) const {
    std::vector<ClockPoint> sent;
    std::vector<ClockPoint> returned;
    for (std::size_t i = first; i < pings.size(); i += step) {
      const Ping& ping = pings[i];
      sent.push_back(point(ping.received_tick, ping.sent_ns));
      returned.push_back(point(ping.answered_tick, ping.returned_ns));
    }
    return {std::move(sent), std::move(returned)};
  }
  // y is how far host time is ahead of device time: its slope is the rate error, near 0.
  [[nodiscard]] ClockPoint point(std::int64_t tick, std::int64_t ns) const {
    const double device = static_cast<double>(tick - tick0) / tick_hz;
    return {device, static_cast<double>(ns - ns0) * kNs - device};
  }
};

// Spread of the slopes of interleaved quarters of the pings. Halved for the whole, as if errors
// shrank with √n; the envelope's shrink faster, so this errs on the safe side.
double slope_u(const Frame& frame, std::span<const Ping> pings, double span_s, double gap) {
  if (pings.size() < 4 * kSubsets) return uniform_u(2.0 * std::abs(gap) / span_s);
  double mean = 0.0;
  double square = 0.0;
  for (std::size_t k = 0; k < kSubsets; ++k) {
    const double slope = frame.bounds(pings, k, kSubsets).best_slope();
    mean += slope / kSubsets;
    square += slope * slope / kSubsets;
  }
  const double variance = std::max(0.0, square - mean * mean) * kSubsets / (kSubsets - 1.0);
  return std::sqrt(variance) / 2.0;
}

struct Slope {
  double value = 0.0, u = 0.0;
};

Slope choose_slope(const Frame& frame, std::span<const Ping> pings, const ClockBounds& bounds) {
  const double tick_s = 1.0 / frame.tick_hz;
  const double span_s = bounds.span();
  const bool nominal_allowed = bounds.gap(0.0) >= 0.0;
  const bool long_enough = span_s >= kSkewSpan_s && pings.size() >= kSkewPings;
  if (nominal_allowed && !long_enough) return {0.0, uniform_u(2.0 * kQuartz_ppm * 1e-6)};
  const double slope = bounds.best_slope();
  const double u = slope_u(frame, pings, span_s, bounds.gap(slope));
  return {slope, std::hypot(u, uniform_u(tick_s) / span_s)};
}

}  // namespace

TwoWay two_way(double t1, double t2, double t3, double t4) {
  return {0.5 * ((t2 - t1) + (t3 - t4)), (t4 - t1) - (t3 - t2)};
}

std::optional<ClockFit> fit_clock(std::span<const Ping> pings, double tick_hz,
                                  std::int64_t origin_ns) {
  if (pings.empty() || !(tick_hz > 0.0)) return std::nullopt;
  const Frame frame{pings.front().sent_ns, pings.front().received_tick, tick_hz};
  const ClockBounds bounds = frame.bounds(pings, 0, 1);
  const Slope slope = choose_slope(frame, pings, bounds);
  const double gap = bounds.gap(slope.value);
  const double middle = 0.5 * (bounds.earliest(slope.value) + bounds.latest(slope.value));

  ClockFit fit;
  fit.pings = pings.size();
  fit.seconds_per_tick = (1.0 + slope.value) / tick_hz;
  fit.offset_s = static_cast<double>(frame.ns0 - origin_ns) * kNs + middle -
                 static_cast<double>(frame.tick0) * fit.seconds_per_tick;
  fit.skew_ppm = -slope.value / (1.0 + slope.value) * 1e6;
  fit.skew_u_ppm = slope.u * 1e6;
  fit.round_trip_s = std::max(gap, 0.0);
  // The share of each direction in the round trip is unknown: anything between the bounds.
  fit.offset_u_s = std::hypot(uniform_u(std::abs(gap)), uniform_u(1.0 / tick_hz));
  return fit;
}

std::optional<ClockFit> arrival_clock(std::span<const Arrival> arrivals, double tick_hz,
                                      std::int64_t origin_ns) {
  if (arrivals.empty() || !(tick_hz > 0.0)) return std::nullopt;
  constexpr double kUnknownDelay_s = 0.1;
  double earliest = std::numeric_limits<double>::infinity();
  for (const Arrival& arrival : arrivals) {
    earliest = std::min(earliest, static_cast<double>(arrival.host_ns - origin_ns) * kNs -
                                      static_cast<double>(arrival.tick) / tick_hz);
  }
  ClockFit fit;
  fit.seconds_per_tick = 1.0 / tick_hz;
  fit.offset_s = earliest - 0.5 * kUnknownDelay_s;
  fit.offset_u_s = uniform_u(kUnknownDelay_s);
  fit.skew_u_ppm = uniform_u(2.0 * kQuartz_ppm);
  return fit;
}

}  // namespace strapline::acquisition
