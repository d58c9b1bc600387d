#pragma once

#include <chrono>
#include <cstdint>

namespace strapline::acquisition {

/// The host's steady clock as everything in this room sees it, injected so that sessions can run
/// faster than life and tests need no wall time.
class HostClock {
 public:
  HostClock() = default;
  HostClock(const HostClock&) = delete;
  HostClock& operator=(const HostClock&) = delete;
  virtual ~HostClock() = default;

  /// Nanoseconds since an arbitrary, fixed start; never runs backwards.
  [[nodiscard]] virtual std::int64_t now_ns() const = 0;

  /// How long a real timer must wait for `host_ns` of this clock to pass.
  [[nodiscard]] virtual std::chrono::nanoseconds real_duration(std::int64_t host_ns) const = 0;
};

/// std::chrono::steady_clock, at life's speed.
class SteadyClock : public HostClock {
 public:
  [[nodiscard]] std::int64_t now_ns() const override;
  [[nodiscard]] std::chrono::nanoseconds real_duration(std::int64_t host_ns) const override;
};

/// The steady clock sped up: `speed` host seconds pass in one real second.
class ScaledClock : public HostClock {
 public:
  /// `speed` > 0.
  explicit ScaledClock(double speed);
  [[nodiscard]] std::int64_t now_ns() const override;
  [[nodiscard]] std::chrono::nanoseconds real_duration(std::int64_t host_ns) const override;

 private:
  double speed_;
  std::chrono::steady_clock::time_point start_;
};

}  // namespace strapline::acquisition
