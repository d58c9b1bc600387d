#include "foot_traces.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/joint_angles.hpp"

#include "square.hpp"
#include "stance.hpp"
#include "tilt_change.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;

/// One aligned strap of the ankle's two.
struct End {
  const PreparedStrap* strap;
  double tissue;  ///< rad, of soft tissue about one axis, at kFullFlexion

  [[nodiscard]] const Quaterniond& q(Index i) const {
    return strap->q_world_from_segment[static_cast<std::size_t>(i)];
  }
  /// Variance, rad², of the tilt about the axis of flexion since standing.
  [[nodiscard]] double variance(Index i, double depth_share) const {
    return TiltChange(*strap).variance_since_still(i, Vector3d::UnitZ()) +
           cross_axis_variance(*strap, i, Vector3d::UnitZ()) + square(tissue * depth_share) +
           square(strap->shift_u);
  }
};

End end_of(const TraceSource& source, Placement placement) {
  return {strap_at(source.straps, placement),
          soft_tissue_per_axis(source.budget, placement.segment)};
}

bool axis_known(const PreparedStrap& foot) { return foot.alignment->axis_u < kUnknownAxis; }

/// A foot that never left the floor shows no axis: what little it tips may be any way, and is not
/// taken for flexion.
Quaterniond attitude(const End& foot, Index i) {
  return axis_known(*foot.strap) ? foot.q(i) : Quaterniond::Identity();
}

/// Variance, rad², of the flexion where the foot tips by p about an axis off by φ: p·cos φ of it is
/// flexion; about an axis of which nothing is known, p/√2 (RMS).
double tipped_variance(const End& foot, Index i) {
  const double tipped = std::acos(std::clamp((foot.q(i) * Vector3d::UnitY()).y(), -1.0, 1.0));
  if (!axis_known(*foot.strap)) return 0.5 * square(tipped);
  const double axis_u = foot.strap->alignment->axis_u;
  return square(tipped * (1.0 - std::exp(-0.5 * axis_u * axis_u)));
}

/// What the flexion is off by where the shank's axes are turned about its own Y by one radian.
double crosstalk(const End& shank, const End& foot, Index i) {
  return (shank.q(i).conjugate() * (attitude(foot, i) * Vector3d::UnitY())).z();
}

double mean_of(const Eigen::VectorXd& x, Index from, Index to) {
  double sum = 0.0, count = 0.0;
  for (Index i = from; i <= to && i < x.size(); ++i) {
    if (!std::isfinite(x[i])) continue;
    sum += x[i];
    count += 1.0;
  }
  return count > 0.0 ? sum / count : 0.0;
}

}  // namespace

MeasureTrace ankle_flexion_trace(const TraceSource& source, Side side) {
  const End shank = end_of(source, {Segment::shank, side});
  const End foot = end_of(source, {Segment::foot, side});
  MeasureTrace trace = sampled_trace(
      "ankle_flexion", side, Unit::radian, source, {{Segment::shank, side}, {Segment::foot, side}},
      [&](Index i) {
        const double share = source.depth_share[i];
        const double turned = square(shank.strap->alignment->axis_u) + square(shank.tissue * share);
        const double u =
            std::sqrt(shank.variance(i, share) + foot.variance(i, share) +
                      tipped_variance(foot, i) + square(crosstalk(shank, foot, i)) * turned);
        return Sample{ankle_flexion(shank.q(i), attitude(foot, i)), u};
      });
  if (trace.value.size() == 0) return trace;
  trace.value.array() -= mean_of(trace.value, source.still_from, source.still_to);
  return trace;
}

}  // namespace strapline::dsp
