#pragma once

#include <vector>

namespace strapline::acquisition {

/// x: device time; y: host time minus device time; seconds.
struct ClockPoint {
  double x = 0.0, y = 0.0;
};

/// The two bounds of a clock y = c + slope·x from pings: it runs above every `sent` point (the
/// device cannot receive before the host sent) and below every `returned` one.
class ClockBounds {
 public:
  /// Both not empty, of equal size.
  ClockBounds(std::vector<ClockPoint> sent, std::vector<ClockPoint> returned);

  /// The least and the greatest c that the points allow with this slope.
  [[nodiscard]] double earliest(double slope) const;
  [[nodiscard]] double latest(double slope) const;
  /// latest − earliest; negative where the slope is not compatible with the points.
  [[nodiscard]] double gap(double slope) const { return latest(slope) - earliest(slope); }
  /// The slope with which both bounds lie nearest to their points, summed over all of them.
  [[nodiscard]] double best_slope() const;
  /// Device time from the first to the last point, seconds.
  [[nodiscard]] double span() const;

 private:
  std::vector<ClockPoint> upper_;  ///< hull of `sent`, x increasing, slopes decreasing
  std::vector<ClockPoint> lower_;  ///< hull of `returned`, x increasing, slopes increasing
  double count_ = 0.0;
  double sum_sent_x_ = 0.0, sum_returned_x_ = 0.0;
};

}  // namespace strapline::acquisition
