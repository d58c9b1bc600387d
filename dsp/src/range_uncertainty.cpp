#include "range_uncertainty.hpp"

#include <algorithm>
#include <cmath>

#include "range_angle.hpp"
#include "tilt_change.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// One end of a range against the other.
struct Ends {
  Index from, to;
  double tissue_share;  ///< of the soft tissue's turn at kFullFlexion, between the two
};

/// Variance, rad², of one strap's turn from end to end about one axis.
double turn_variance(const SetWork& work, const PreparedStrap& strap, const Ends& ends) {
  const double tissue =
      soft_tissue_per_axis(work.budget, strap.placement.segment) * ends.tissue_share;
  return TiltChange(strap).variance_between(ends.from, ends.to) + tissue * tissue;
}

/// Of the mean over the sides that show the angle. A pelvis is the same for both.
double joint_variance(const SetWork& work, const std::vector<Segment>& segments, Side only,
                      const Ends& ends) {
  double own = 0.0, shared = 0.0, sides = 0.0;
  for (const Side side : {Side::left, Side::right}) {
    if (only != Side::middle && side != only) continue;
    std::vector<const PreparedStrap*> straps;
    for (const Segment segment : segments) {
      const bool middle = segment == Segment::pelvis;
      const PreparedStrap* strap = strap_at(work.straps, {segment, middle ? Side::middle : side});
      if (strap != nullptr && strap->alignment) straps.push_back(strap);
    }
    if (straps.size() < segments.size()) continue;
    shared = 0.0;
    for (const PreparedStrap* strap : straps) {
      const bool middle = strap->placement.side == Side::middle;
      (middle ? shared : own) += turn_variance(work, *strap, ends);
    }
    sides += 1.0;
  }
  return sides > 0.0 ? shared + own / (sides * sides) : 0.0;
}

/// Of a strap's own strongest turn, whichever strap it is of.
double any_variance(const SetWork& work, const Ends& ends) {
  double tilt = 0.0;
  for (const PreparedStrap& s : work.straps) tilt = std::max(tilt, s.motion.tilt_u[ends.to]);
  const double tissue = work.budget.soft_tissue_thigh * ends.tissue_share;
  return tilt * tilt + tissue * tissue / 3.0;
}

}  // namespace

std::vector<double> range_uncertainty(const SetWork& work, const VectorXd& depth_share) {
  const bool own_angle = !work.range_trace.starts_with("turn_");
  const auto segments =
      own_angle ? range_segments(work.input.movement.range_angle) : std::vector<Segment>{};
  std::vector<double> u;
  for (const Excursion& e : work.excursions) {
    const Index start = nearest_index(work.t, e.start.time_s);
    const double pulled = std::abs(depth_share[e.turn_index] - depth_share[start]);
    const Ends ends{start, e.turn_index, own_angle ? pulled : 1.0};
    u.push_back(std::sqrt(segments.empty() ? any_variance(work, ends)
                                           : joint_variance(work, segments, e.side, ends)));
  }
  return u;
}

}  // namespace strapline::dsp
