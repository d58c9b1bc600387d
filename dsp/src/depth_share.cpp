#include "depth_share.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/joint_angles.hpp"

#include "measure_traces.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kFurthest = 1.5;  // 1: no joint flexes further

VectorXd shares(const VectorXd& angle, double full) {
  return (angle.array() / full)
      .unaryExpr([](double x) { return std::isfinite(x) ? std::clamp(x, 0.0, kFurthest) : 0.0; })
      .matrix();
}

/// Mean over the sides, rad; 0 where no thigh is worn with its shank.
double knee_flexion_at(const SetWork& work, Index i) {
  double sum = 0.0, sides = 0.0;
  for (const Side side : {Side::left, Side::right}) {
    const PreparedStrap* thigh = strap_at(work.straps, {Segment::thigh, side});
    const PreparedStrap* shank = strap_at(work.straps, {Segment::shank, side});
    if (thigh == nullptr || shank == nullptr || !thigh->alignment || !shank->alignment) continue;
    const auto at = static_cast<std::size_t>(i);
    if (!thigh->motion.known[at] || !shank->motion.known[at]) continue;
    sum += knee_flexion(thigh->q_world_from_segment[at], shank->q_world_from_segment[at]);
    sides += 1.0;
  }
  return sides > 0.0 ? std::max(0.0, sum / sides) : 0.0;
}

}  // namespace

VectorXd depth_share(const SetWork& work) {
  // What extends the elbows starts with the muscles short and the skin pulled: it is the flexion
  // that counts, not the way from the start.
  if (work.range_trace == "elbow_extension") return shares(-work.range_angle, kFullFlexion);
  if (work.range_trace == "elbow_flexion") return shares(work.range_angle, kFullFlexion);
  const Excursion* deepest = nullptr;
  for (const Excursion& e : work.excursions) {
    if (deepest == nullptr || e.range > deepest->range) deepest = &e;
  }
  const double range = std::max(work.segmentation.least_range, deepest ? deepest->range : 0.0);
  double at_deepest = 1.0;
  if (work.range_trace == "thigh_depth" && deepest != nullptr) {
    const double flexion = knee_flexion_at(work, deepest->turn_index);
    if (flexion > 0.0) at_deepest = flexion / kFullFlexion;
  }
  return shares(work.range_angle.array() - work.start_level, range / at_deepest);
}

}  // namespace strapline::dsp
