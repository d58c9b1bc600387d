#include "measure_traces.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>

#include <fmt/format.h>

#include "strapline/dsp/joint_angles.hpp"
#include "strapline/dsp/rotation.hpp"

#include "arm_traces.hpp"
#include "foot_traces.hpp"
#include "leg_alignment.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

double square(double x) { return x * x; }

/// One aligned strap seen sample by sample, with the errors that its segment carries.
class SegmentView {
 public:
  SegmentView(const PreparedStrap& strap, const TraceSource& source)
      : strap_(strap), source_(source) {}

  const Quaterniond& q(Index i) const {
    return strap_.q_world_from_segment[static_cast<std::size_t>(i)];
  }
  Vector3d up_axis(Index i) const { return q(i) * Vector3d::UnitY(); }

  /// Variance, rad², of the strap's turn against the bone about one axis.
  double tissue_variance(Index i) const {
    const double tissue = soft_tissue(source_.budget, strap_.placement.segment);
    return square(tissue * source_.depth_share[i]) / 3.0;
  }
  /// Variance, rad², of the segment's tilt about one axis: sensor and soft tissue.
  double moving_variance(Index i) const {
    return tilt_variance_since_still(strap_, i) + tissue_variance(i) + square(strap_.shift_u);
  }
  /// Same, with how far from plumb the segment may have stood.
  double tilt_variance(Index i) const {
    return moving_variance(i) + square(source_.budget.standing) + square(strap_.alignment->lean_u);
  }

  /// Variance, rad², across the leg of how it stood: what the joint's hinge tells where it is
  /// known.
  double slant_variance() const {
    const ErrorBudget& b = source_.budget;
    return strap_.alignment->by_hinge ? square(strap_.alignment->across_u)
                                      : square(b.standing) + square(b.stance_slant);
  }

  /// What the knee's hinge leaves uncertain of a leg, as LegHinge::covariance; null without it.
  const Eigen::Matrix3d* hinge_covariance() const {
    return strap_.alignment->by_hinge ? &strap_.hinge_covariance : nullptr;
  }

  /// See PreparedStrap::toe_line_per_across.
  double toe_line_per_across() const { return strap_.toe_line_per_across; }

  /// Variance, rad², of the toe line as the alignment movement showed it, without what the hinge's
  /// error adds. Thigh and shank of one leg share its error.
  double toe_line_variance() const {
    const double toe =
        source_.aligned_by_set ? source_.budget.toe_line_from_set : source_.budget.toe_line;
    const SegmentAlignment& a = *strap_.alignment;
    const double seen = a.by_hinge ? a.toe_line_u : a.axis_u;
    return square(toe) + square(seen);
  }
  /// Variance, rad², of the segment's own heading since the alignment.
  double turned_variance(Index i) const {
    const double stance = strap_.stance_u.size() == 0 ? 0.0 : strap_.stance_u[i];
    return square(strap_.heading_u) + square(strap_.twist_u) + square(stance) + tissue_variance(i);
  }
  /// Same, with what the hinge leaves uncertain of it.
  double heading_variance(Index i) const {
    return turned_variance(i) + square(strap_.alignment->hinge_heading_u);
  }

  /// Variance, rad², of the trunk's own facing against the person's; of a limb none.
  double own_facing_variance() const {
    if (strap_.placement.side != Side::middle) return 0.0;
    return square(source_.budget.trunk_facing) + square(strap_.alignment->axis_u);
  }
  double facing_variance(Index i) const { return own_facing_variance() + heading_variance(i); }

 private:
  const PreparedStrap& strap_;
  const TraceSource& source_;
};

/// As sampled_trace, with a view of each needed strap.
MeasureTrace make_trace(
    std::string base, Side side, Unit unit, const TraceSource& source,
    const std::vector<Placement>& needs,
    const std::function<Sample(const std::vector<SegmentView>&, Index)>& sample) {
  std::vector<SegmentView> views;
  for (const Placement placement : needs) {
    if (!missing_reason(source.straps, placement).empty()) break;  // sampled_trace says why
    views.emplace_back(*strap_at(source.straps, placement), source);
  }
  return sampled_trace(std::move(base), side, unit, source, needs,
                       [&](Index i) { return sample(views, i); });
}

MeasureTrace no_length(std::string base, Side side, std::string what) {
  return {std::move(base),
          side,
          Unit::metre,
          {},
          {},
          fmt::format("needs the {} or the body height", what)};
}

using Views = std::vector<SegmentView>;

/// Standard uncertainty, rad, of the turn of two segments about the first one's Z. `toes`: the
/// second one's orientation against the one of its view, and how uncertain that turn about the
/// vertical is, rad. With g, how the angle changes with a small turn of the second one in world
/// axes (of the first one by the opposite): the tilts of both count and, as far as g stands
/// upright, their headings, which gravity does not show. A trunk that faces elsewhere than its
/// strap was taken to turns about its own Y and, in its world, back about the vertical: while
/// standing both cancel.
struct Toes {
  Quaterniond out = Quaterniond::Identity();
  double sd = 0.0;
};

double turn_u(const Views& v, Index i, const Toes& toes = {}) {
  const Vector3d y_world = toes.out * v[1].up_axis(i);
  const Vector3d y = v[0].q(i).conjugate() * y_world;
  const double size = std::max(0.01, square(y.x()) + square(y.y()));
  const Vector3d g = y_world.cross(v[0].q(i) * Vector3d(y.y() / size, -y.x() / size, 0.0));
  double variance = square(g.y() * toes.sd);
  for (const SegmentView& view : v) {
    const double facing = g.dot(view.up_axis(i) - world_up());
    variance += (square(g.x()) + square(g.z())) * view.tilt_variance(i) +
                square(g.y()) * view.heading_variance(i) +
                square(facing) * view.own_facing_variance();
  }
  return std::sqrt(variance);
}

MeasureTrace thigh_depth(const TraceSource& source, Side side) {
  return make_trace("thigh_depth", side, Unit::radian, source, {{Segment::thigh, side}},
                    [](const Views& v, Index i) {
                      return Sample{thigh_elevation(v[0].q(i)), std::sqrt(v[0].tilt_variance(i))};
                    });
}

MeasureTrace knee_flexion_trace(const TraceSource& source, Side side) {
  return make_trace("knee_flexion", side, Unit::radian, source,
                    {{Segment::thigh, side}, {Segment::shank, side}}, [](const Views& v, Index i) {
                      return Sample{knee_flexion(v[0].q(i), v[1].q(i)), turn_u(v, i)};
                    });
}

/// A thigh's world points along its toe line, a pelvis's straight ahead; no strap shows the angle
/// between them.
MeasureTrace hip_flexion_trace(const TraceSource& source, Side side) {
  const double outwards = side == Side::right ? -kUsualToeOut : kUsualToeOut;
  const Toes toes{turn_about_vertical(outwards), kToeOutSd};
  return make_trace(
      "hip_flexion", side, Unit::radian, source,
      {{Segment::pelvis, Side::middle}, {Segment::thigh, side}}, [=](const Views& v, Index i) {
        return Sample{hip_flexion(v[0].q(i), toes.out * v[1].q(i)), turn_u(v, i, toes)};
      });
}

MeasureTrace knee_line_distance(const TraceSource& source, Side side) {
  const Length shank = shank_length(source.body, source.budget);
  if (shank.value <= 0.0) return no_length("knee_line_distance", side, "shank length");
  return make_trace("knee_line_distance", side, Unit::metre, source, {{Segment::shank, side}},
                    [=](const Views& v, Index i) {
                      const Vector3d y = v[0].up_axis(i);
                      const double lateral = inwards(y.z(), side);
                      const double heading = v[0].toe_line_variance() + v[0].heading_variance(i);
                      // What tilts the shank's hinge turns the toe line as well: where the knee is
                      // as far forwards as in the bends, both cancel.
                      const double slant = square(1.0 - v[0].toe_line_per_across() * y.x());
                      const double turn = v[0].moving_variance(i) + slant * v[0].slant_variance() +
                                          square(y.x()) * heading;
                      return Sample{shank.value * lateral,
                                    std::hypot(shank.value * std::sqrt(turn), shank.u * lateral)};
                    });
}

/// Of the angle between thigh and shank seen from the front, with respect to the turns of
/// LegHinge::covariance. An axis that points too high tilts its segment's Y the other way; a thigh
/// that leans forwards carries a wrong heading sideways.
Vector3d hinge_gradient(const Vector3d& thigh, const Vector3d& shank) {
  const double a = thigh.y() / (square(thigh.y()) + square(thigh.z()));
  const double b = shank.y() / (square(shank.y()) + square(shank.z()));
  return {-a, b, a * thigh.x()};
}

MeasureTrace knee_line_angle(const TraceSource& source, Side side) {
  return make_trace(
      "knee_line_angle", side, Unit::radian, source,
      {{Segment::thigh, side}, {Segment::shank, side}}, [=](const Views& v, Index i) {
        double variance = 0.0;
        double toe_line_share = 0.0;  // the leg leans forwards below the knee and back above it
        for (const SegmentView& view : v) {
          const Vector3d y = view.up_axis(i);
          const double size = square(y.y()) + square(y.z());
          const bool hinged = view.hinge_covariance() != nullptr;
          const double across =
              view.moving_variance(i) + (hinged ? 0.0 : view.slant_variance()) +
              square(y.x()) * (hinged ? view.turned_variance(i) : view.heading_variance(i));
          const double foreshortening = square(y.x() * y.z() / size) * view.tilt_variance(i);
          variance += across / size + foreshortening;
          toe_line_share = y.x() * y.y() / size - toe_line_share;
        }
        variance += square(toe_line_share) * v[1].toe_line_variance();
        if (const Eigen::Matrix3d* hinge = v[0].hinge_covariance()) {
          const Vector3d g = hinge_gradient(v[0].up_axis(i), v[1].up_axis(i)) -
                             v[1].toe_line_per_across() * toe_line_share * Vector3d::UnitY();
          variance += g.dot(*hinge * g);
        }
        return Sample{frontal_knee_angle(v[0].q(i), v[1].q(i), side), std::sqrt(variance)};
      });
}

MeasureTrace knee_travel(const TraceSource& source, Side side) {
  const Length shank = shank_length(source.body, source.budget);
  const Length toe = toe_reach(source.body, source.budget);
  if (shank.value <= 0.0) return no_length("knee_travel", side, "shank length");
  if (toe.value <= 0.0) return no_length("knee_travel", side, "foot length");
  return make_trace("knee_travel", side, Unit::metre, source, {{Segment::shank, side}},
                    [=](const Views& v, Index i) {
                      const Vector3d y = v[0].up_axis(i);
                      const double tilt = square(shank.value * y.y()) * v[0].tilt_variance(i);
                      return Sample{shank.value * y.x() - toe.value,
                                    std::sqrt(tilt + square(shank.u * y.x()) + square(toe.u))};
                    });
}

MeasureTrace trunk_lean(const TraceSource& source, Side) {
  return make_trace("trunk_lean", Side::middle, Unit::radian, source, {trunk_placement(source)},
                    [](const Views& v, Index i) {
                      return Sample{forward_lean(v[0].q(i)), std::sqrt(v[0].tilt_variance(i))};
                    });
}

MeasureTrace trunk_side_lean(const TraceSource& source, Side) {
  return make_trace("trunk_side_lean", Side::middle, Unit::radian, source,
                    {trunk_placement(source)}, [](const Views& v, Index i) {
                      const Vector3d y = v[0].up_axis(i);
                      const double across =
                          v[0].tilt_variance(i) + square(y.x()) * v[0].facing_variance(i);
                      return Sample{side_lean(v[0].q(i)),
                                    std::sqrt(across) / std::max(0.2, std::hypot(y.y(), y.z()))};
                    });
}

struct Maker {
  MeasureTrace (*make)(const TraceSource&, Side);
  bool sided;
};

const std::map<std::string, Maker>& makers() {
  static const std::map<std::string, Maker> all{
      {"thigh_depth", {thigh_depth, true}},
      {"knee_flexion", {knee_flexion_trace, true}},
      {"hip_flexion", {hip_flexion_trace, true}},
      {"ankle_flexion", {ankle_flexion_trace, true}},
      {"knee_line_distance", {knee_line_distance, true}},
      {"knee_line_angle", {knee_line_angle, true}},
      {"knee_travel", {knee_travel, true}},
      {"trunk_lean", {trunk_lean, false}},
      {"trunk_side_lean", {trunk_side_lean, false}},
      {"elbow_flexion", {elbow_flexion_trace, true}},
      {"elbow_flare", {elbow_flare_trace, true}},
      {"elbow_plane", {elbow_plane_trace, true}},
      {"forearm_tilt", {forearm_tilt_trace, true}},
      {"body_line", {body_line_trace, false}},
      {"back_rounding", {back_rounding_trace, false}},
  };
  return all;
}

}  // namespace

std::string missing_reason(const std::vector<PreparedStrap>& straps, Placement placement) {
  const PreparedStrap* strap = strap_at(straps, placement);
  if (strap == nullptr) return fmt::format("needs a strap on {}", to_string(placement));
  return strap->alignment ? std::string{} : strap->trouble;
}

Placement trunk_placement(const TraceSource& source) {
  const Placement chest{Segment::chest, Side::middle};
  const Placement back{Segment::upper_back, Side::middle};
  return strap_at(source.straps, chest) == nullptr && strap_at(source.straps, back) != nullptr
             ? back
             : chest;
}

const PreparedStrap* strap_at(const std::vector<PreparedStrap>& straps, Placement placement) {
  for (const PreparedStrap& strap : straps) {
    if (strap.placement == placement) return &strap;
  }
  return nullptr;
}

std::vector<MeasureTrace> traces_of(const std::string& base, const TraceSource& source) {
  const auto found = makers().find(base);
  if (found == makers().end()) return {};
  if (!found->second.sided) return {found->second.make(source, Side::middle)};
  return {found->second.make(source, Side::left), found->second.make(source, Side::right)};
}

MeasureTrace sampled_trace(std::string base, Side side, Unit unit, const TraceSource& source,
                           const std::vector<Placement>& needs,
                           const std::function<Sample(Index)>& sample) {
  MeasureTrace trace{std::move(base), side, unit, {}, {}, {}};
  std::vector<const PreparedStrap*> straps;
  for (const Placement placement : needs) {
    trace.missing = missing_reason(source.straps, placement);
    if (!trace.missing.empty()) return trace;
    straps.push_back(strap_at(source.straps, placement));
  }
  const Index n = source.depth_share.size();
  trace.value = VectorXd::Constant(n, std::numeric_limits<double>::quiet_NaN());
  trace.u = VectorXd::Zero(n);
  for (Index i = 0; i < n; ++i) {
    const auto known = [&](const PreparedStrap* strap) {
      return strap->motion.known[static_cast<std::size_t>(i)] != 0;
    };
    if (!std::all_of(straps.begin(), straps.end(), known)) continue;
    const Sample s = sample(i);
    trace.value[i] = s.value;
    trace.u[i] = s.u;
  }
  return trace;
}

}  // namespace strapline::dsp
