#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

/// Device ticks to the common time, from two-way pings.
namespace strapline::acquisition {

/// Result of one exchange as RFC 5905 §8 defines it.
struct TwoWay {
  double offset = 0.0;  ///< of the far clock ahead of the near one
  double delay = 0.0;   ///< there and back, without the time at the far end
};

/// offset ½[(T2−T1)+(T3−T4)], delay (T4−T1)−(T3−T2); RFC 5905 §8. All in the same unit. A path
/// that is `a` longer on the way there than back biases the offset by a/2.
[[nodiscard]] TwoWay two_way(double t1, double t2, double t3, double t4);

/// One ping: host sent T1, device received T2, device answered T3, host received T4.
struct Ping {
  std::int64_t sent_ns = 0;        ///< T1, host clock
  std::int64_t received_tick = 0;  ///< T2, unwrapped device ticks
  std::int64_t answered_tick = 0;  ///< T3
  std::int64_t returned_ns = 0;    ///< T4, host clock
};

/// Common time = offset_s + tick · seconds_per_tick.
struct ClockFit {
  double offset_s = 0.0;
  double seconds_per_tick = 0.0;
  double skew_ppm = 0.0;      ///< positive: the device's clock is fast against the host's
  double offset_u_s = 0.0;    ///< standard uncertainty of the common time, middle of the session, s
  double skew_u_ppm = 0.0;    ///< standard uncertainty of the skew
  double round_trip_s = 0.0;  ///< the shortest that the pings are compatible with
  std::size_t pings = 0;      ///< 0: no ping was answered, see arrival_clock()

  [[nodiscard]] double common_s(std::int64_t tick) const {
    return offset_s + static_cast<double>(tick) * seconds_per_tick;
  }
};

/// Fits offset and skew to any number of pings in any order; robust to delays that only ever
/// lengthen. Both directions bound the device's clock from one side (received no earlier than
/// sent, answered no later than returned); the two bounds are parallel lines that touch the points
/// and lie nearest to them on average (the linear programme of Moon, Skelly & Towsley 1999, doi
/// 10.1109/INFCOM.1999.749287, over both directions with one slope, solved on the convex hulls),
/// and the clock runs half-way between them. Too short a session cannot tell the skew: then the
/// nominal rate is kept, as long as the pings allow it.
/// `origin_ns` is the host time at common time 0. Empty where there is no ping.
[[nodiscard]] std::optional<ClockFit> fit_clock(std::span<const Ping> pings, double tick_hz,
                                                std::int64_t origin_ns);

/// A message that carried its device time, and when it arrived.
struct Arrival {
  std::int64_t tick = 0;
  std::int64_t host_ns = 0;
};

/// The stopgap where no ping was answered: nominal rate, earliest arrival, an unknown delay that is
/// assumed to lie between 0 and 0.1 s. Empty where nothing arrived.
[[nodiscard]] std::optional<ClockFit> arrival_clock(std::span<const Arrival> arrivals,
                                                    double tick_hz, std::int64_t origin_ns);

}  // namespace strapline::acquisition
