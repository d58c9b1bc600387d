#pragma once

#include <algorithm>
#include <optional>

namespace strapline::dsp {

/// Where a client waits between clusters: at one of the two ends of a rep's way, or elsewhere (the
/// weight put down), which tells nothing. Figures of ours.
class Waiting {
 public:
  /// One sample of a pause: how far from either end, 1, of the way between them.
  void see(double from_start, double from_turn) {
    all_ += 1.0;
    at_start_ += from_start < kNear ? 1.0 : 0.0;
    at_turn_ += from_turn < kNear ? 1.0 : 0.0;
  }
  /// Whether it is the end that was taken for the start; none where most of the time is spent at
  /// neither, or some at both.
  [[nodiscard]] std::optional<bool> at_start() const {
    const double at_ends = at_start_ + at_turn_;
    const bool clear = std::max(at_start_, at_turn_) >= kMostly * at_ends;
    if (2.0 * at_ends <= all_ || !clear) return std::nullopt;
    return at_start_ > at_turn_;
  }

 private:
  static constexpr double kNear = 0.3;    // 1, of the way: at one of its ends
  static constexpr double kMostly = 0.8;  // 1, of the time at either end
  double at_start_ = 0.0, at_turn_ = 0.0, all_ = 0.0;
};

}  // namespace strapline::dsp
