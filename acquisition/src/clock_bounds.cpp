#include "clock_bounds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace strapline::acquisition {
namespace {

double cross(const ClockPoint& o, const ClockPoint& a, const ClockPoint& b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

double slope_between(const ClockPoint& a, const ClockPoint& b) { return (b.y - a.y) / (b.x - a.x); }

// One chain of the convex hull (Andrew's monotone chain); sign +1 the lower, −1 the upper. Of
// points above each other only the outer one stays, so that x increases strictly.
std::vector<ClockPoint> hull(std::vector<ClockPoint> points, double sign) {
  std::sort(points.begin(), points.end(), [sign](const ClockPoint& a, const ClockPoint& b) {
    return a.x < b.x || (a.x == b.x && sign * a.y < sign * b.y);
  });
  std::vector<ClockPoint> chain;
  for (const ClockPoint& p : points) {
    if (!chain.empty() && chain.back().x == p.x) continue;
    while (chain.size() >= 2 && sign * cross(chain[chain.size() - 2], chain.back(), p) <= 0.0) {
      chain.pop_back();
    }
    chain.push_back(p);
  }
  return chain;
}

double sum_x(const std::vector<ClockPoint>& points) {
  double sum = 0.0;
  for (const ClockPoint& p : points) sum += p.x;
  return sum;
}

}  // namespace

ClockBounds::ClockBounds(std::vector<ClockPoint> sent, std::vector<ClockPoint> returned)
    : count_(static_cast<double>(sent.size())),
      sum_sent_x_(sum_x(sent)),
      sum_returned_x_(sum_x(returned)) {
  upper_ = hull(std::move(sent), -1.0);
  lower_ = hull(std::move(returned), +1.0);
}

double ClockBounds::earliest(double slope) const {
  double c = -std::numeric_limits<double>::infinity();
  for (const ClockPoint& p : upper_) c = std::max(c, p.y - slope * p.x);
  return c;
}

double ClockBounds::latest(double slope) const {
  double c = std::numeric_limits<double>::infinity();
  for (const ClockPoint& p : lower_) c = std::min(c, p.y - slope * p.x);
  return c;
}

double ClockBounds::span() const {
  return std::max(upper_.back().x, lower_.back().x) - std::min(upper_.front().x, lower_.front().x);
}

// The summed distance of the points from their bounds is convex and piecewise linear in the slope;
// it bends only at slopes of hull edges, where the touching point moves on. Walk the edges of both
// hulls by rising slope until the distance stops falling.
double ClockBounds::best_slope() const {
  std::size_t touch_upper = upper_.size() - 1;  // at slope −∞: the last of `sent`,
  std::size_t touch_lower = 0;                  // the first of `returned`
  const auto derivative = [&] {
    return count_ * (lower_[touch_lower].x - upper_[touch_upper].x) + sum_sent_x_ - sum_returned_x_;
  };
  double slope = 0.0;  // a single ping has no edge
  while (touch_upper > 0 || touch_lower + 1 < lower_.size()) {
    constexpr double kNone = std::numeric_limits<double>::infinity();
    const double next_upper =
        touch_upper > 0 ? slope_between(upper_[touch_upper - 1], upper_[touch_upper]) : kNone;
    const double next_lower = touch_lower + 1 < lower_.size()
                                  ? slope_between(lower_[touch_lower], lower_[touch_lower + 1])
                                  : kNone;
    slope = std::min(next_upper, next_lower);
    if (next_upper <= next_lower) {
      --touch_upper;
    } else {
      ++touch_lower;
    }
    if (derivative() >= 0.0) break;
  }
  return slope;
}

}  // namespace strapline::acquisition
