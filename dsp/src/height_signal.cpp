#include "height_signal.hpp"

#include <algorithm>
#include <limits>

#include "strapline/dsp/motion_features.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

bool known(const GridMotion& motion, Index i) {
  return motion.known[static_cast<std::size_t>(i)] != 0;
}

/// m, from the recording's begin; stands still where the motion is not known.
VectorXd height_of(const GridMotion& motion, const VectorXd& t) {
  const VectorXd rate = VectorXd::NullaryExpr(
      t.size(), [&](Index i) { return known(motion, i) ? motion.vertical_velocity[i] : 0.0; });
  return integral(rate, 1.0 / (t[1] - t[0]));
}

/// Takes out the line through the heights at `ends` (indices, ascending), flat beyond them.
void level_at(VectorXd& height, const std::vector<Index>& ends) {
  const VectorXd drifts = height;
  for (Index i = 0, k = 0; i < height.size(); ++i) {
    const auto count = static_cast<Index>(ends.size());
    while (k + 1 < count && ends[static_cast<std::size_t>(k + 1)] <= i) ++k;
    const Index from = ends[static_cast<std::size_t>(k)];
    const Index to = ends[static_cast<std::size_t>(std::min(k + 1, count - 1))];
    const double part =
        to > from
            ? std::clamp(static_cast<double>(i - from) / static_cast<double>(to - from), 0.0, 1.0)
            : 0.0;
    height[i] -= (1.0 - part) * drifts[from] + part * drifts[to];
  }
}

/// Whether more of the reps' way lies below home than above it.
bool sinks(const VectorXd& height, const VectorXd& t, const std::vector<Interval>& reps) {
  double above = 0.0, below = 0.0;
  for (const Interval& rep : reps) {
    const Index first = nearest_index(t, rep.from_s);
    const auto inside = height.segment(first, nearest_index(t, rep.to_s) - first + 1);
    above += inside.maxCoeff();
    below -= inside.minCoeff();
  }
  return below > above;
}

}  // namespace

VectorXd height_from_start(const GridMotion& motion, const VectorXd& t,
                           const std::vector<Interval>& reps) {
  if (t.size() < 2) return VectorXd::Zero(t.size());
  VectorXd height = height_of(motion, t);
  std::vector<Index> ends;
  for (const Interval& rep : reps) {
    for (const double at : {rep.from_s, rep.to_s}) ends.push_back(nearest_index(t, at));
  }
  if (!ends.empty()) {
    level_at(height, ends);
    if (sinks(height, t, reps)) height = -height;
  }
  for (Index i = 0; i < t.size(); ++i) {
    if (!known(motion, i)) height[i] = std::numeric_limits<double>::quiet_NaN();
  }
  return FeatureParams{}.radian_per_m * height;
}

}  // namespace strapline::dsp
