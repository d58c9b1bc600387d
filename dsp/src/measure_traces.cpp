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
#include "segment_view.hpp"
#include "square.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

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

/// The second segment of a joint against its view: turned about the vertical, and how uncertain
/// that turn is, rad.
struct Toes {
  Quaterniond out = Quaterniond::Identity();
  double sd = 0.0;
};

/// Standard uncertainty, rad, of the turn of two segments about the first one's Z. With g, how the
/// angle changes with a small turn of the second one in world axes (of the first one by the
/// opposite): the tilts of both count and, as far as g stands upright, their headings, which
/// gravity does not show. A trunk that faces elsewhere than its strap was taken to turns about its
/// own Y and, in its world, back about the vertical: while standing both cancel. So does, in a
/// knee, what a slanting leg leans by its toe-out, and how the leg swayed.
double turn_u(const Views& v, Index i, const Toes& toes = {}) {
  const Vector3d y_world = toes.out * v[1].up_axis(i);
  const Vector3d y = v[0].q(i).conjugate() * y_world;
  const double size = std::max(0.01, square(y.x()) + square(y.y()));
  const Vector3d g = y_world.cross(v[0].q(i) * Vector3d(y.y() / size, -y.x() / size, 0.0));
  double variance = square(g.y() * toes.sd);
  double leaned = 0.0, swayed = 0.0, swayed_across = 0.0;
  const bool as_one = v[0].of_limb() && v[1].of_limb();
  for (const SegmentView& view : v) {
    const double facing = g.dot(view.up_axis(i) - world_up());
    // How it stood is fixed in the segment, wherever that points by now.
    const double across = g.dot(view.q(i) * Vector3d::UnitZ());
    const double side = g.dot(view.q(i) * Vector3d::UnitX());
    const double sign = &view == &v.front() ? -1.0 : 1.0;
    const Sway sway = as_one ? view.sway() : Sway{};
    const double leant = square(view.lean_u());
    leaned += sign * across * view.lean_u();
    swayed += sign * across * sway.forwards;
    swayed_across += sign * side * sway.sideways;
    variance += square(across) * (view.standing_variance() - leant - square(sway.forwards)) +
                square(side) * (view.standing_across_variance() - leant - square(sway.sideways)) +
                view.moving_variance(i, g) +
                square(g.y()) * (view.heading_variance(i) + view.tissue_variance(i)) +
                square(facing) * view.own_facing_variance();
  }
  return std::sqrt(variance + square(leaned) + square(swayed) + square(swayed_across));
}

/// The axis about which a turn raises or lowers a segment's Y the most.
Vector3d raising(const Vector3d& y) {
  const Vector3d axis = world_up().cross(y);
  return axis.norm() > 1e-6 ? axis.normalized() : Vector3d(Vector3d::UnitZ());
}

MeasureTrace thigh_depth(const TraceSource& source, Side side) {
  return make_trace("thigh_depth", side, Unit::radian, source, {{Segment::thigh, side}},
                    [](const Views& v, Index i) {
                      const double variance = v[0].tilt_variance(i, raising(v[0].up_axis(i)));
                      return Sample{thigh_elevation(v[0].q(i)), std::sqrt(variance)};
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
                      // What tilts the shank's hinge turns the toe line as well, and so does soft
                      // tissue: where the knee is as far forwards as in the bends, both cancel.
                      const double slant = square(1.0 - v[0].toe_line_per_across() * y.x());
                      const double tissue =
                          v[0].tissue_across(i) - y.x() * v[0].tissue_in_toe_line();
                      const double turn = v[0].strap_variance_beside_hinge(i, Vector3d::UnitX()) +
                                          square(tissue) + slant * v[0].slant_variance() +
                                          square(y.x()) * heading;
                      return Sample{shank.value * lateral,
                                    std::hypot(shank.value * std::sqrt(turn), shank.u * lateral)};
                    });
}

/// Of the angle between thigh and shank seen from the front, inwards for a right leg.
struct ByHinge {
  double correction = 0.0;  ///< rad, to add
  double variance = 0.0;    ///< rad², afterwards
};

/// By what LegHinge::covariance is of. An axis that points too high tilts its segment's Y the other
/// way, a world that is tilted carries it along, and a thigh that leans forwards carries a wrong
/// heading sideways. What tilts the shank turns the toe line as well, of which `toe_line_share` is
/// in the angle.
ByHinge by_hinge(const Views& v, Index i, double toe_line_share) {
  const Vector3d thigh = v[0].up_axis(i), shank = v[1].up_axis(i);
  const double a = thigh.y() / (square(thigh.y()) + square(thigh.z()));
  const double b = shank.y() / (square(shank.y()) + square(shank.z()));
  const Vector3d shapes = bend_shapes(v[0].bend(i));
  const double by_path = v[1].toe_line_per_across() * toe_line_share;
  HingeErrors g;
  g << -a, b - by_path, a * thigh.x(), -1.0, 1.0 - by_path, -a * shapes, b * shapes;
  g[kHingeTurns + 3] -= v[1].toe_line_per_tissue() * toe_line_share;
  // What the fit has found of the turns is taken out.
  return {-g.tail<6>().dot(v[0].hinge_turns()), g.dot(v[0].hinge_covariance().lazyProduct(g))};
}

/// Variance, rad², of the same angle by how the leg stood and by soft tissue, where no hinge tells.
double unhinged_variance(const Views& v, Index i) {
  double variance = 0.0;
  for (const SegmentView& view : v) {
    const Vector3d y = view.up_axis(i);
    const double size = square(y.y()) + square(y.z());
    const double heading = view.heading_variance(i) - view.turned_variance(i);
    variance += (view.slant_variance() + square(y.x()) * heading) / size;
  }
  const auto shortened = [](const Vector3d& y) { return 1.0 / std::hypot(y.y(), y.z()); };
  const double thigh = v[0].tissue_across(i) * shortened(v[0].up_axis(i));
  const double shank = v[1].tissue_across(i) * shortened(v[1].up_axis(i));
  return variance + square(thigh) + square(shank);
}

/// How a segment's angle from the vertical, seen from the front, changes with a small turn of it in
/// its world.
Vector3d seen_from_front(const Vector3d& y) {
  const double size = square(y.y()) + square(y.z());
  return {1.0, -y.x() * y.y() / size, -y.x() * y.z() / size};
}

MeasureTrace knee_line_angle(const TraceSource& source, Side side) {
  return make_trace(
      "knee_line_angle", side, Unit::radian, source,
      {{Segment::thigh, side}, {Segment::shank, side}}, [=](const Views& v, Index i) {
        double variance = 0.0;
        double toe_line_share = 0.0;  // the leg leans forwards below the knee and back above it
        for (const SegmentView& view : v) {
          const Vector3d g = seen_from_front(view.up_axis(i));
          const double foreshortened = view.tissue_variance(i) + view.standing_variance();
          variance += view.strap_variance_beside_hinge(i, g) +
                      square(g.y()) * view.turned_variance(i) + square(g.z()) * foreshortened;
          toe_line_share = -g.y() - toe_line_share;
        }
        variance += square(toe_line_share) * v[1].toe_line_variance();
        const ByHinge hinge =
            v[0].hinged() ? by_hinge(v, i, toe_line_share) : ByHinge{0.0, unhinged_variance(v, i)};
        const double angle = frontal_knee_angle(v[0].q(i), v[1].q(i), side);
        return Sample{angle + inwards(hinge.correction, side),
                      std::sqrt(variance + hinge.variance)};
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
                      const double tilt =
                          square(shank.value * y.y()) * v[0].tilt_variance(i, Vector3d::UnitZ());
                      return Sample{shank.value * y.x() - toe.value,
                                    std::sqrt(tilt + square(shank.u * y.x()) + square(toe.u))};
                    });
}

MeasureTrace trunk_lean(const TraceSource& source, Side) {
  return make_trace(
      "trunk_lean", Side::middle, Unit::radian, source, {trunk_placement(source)},
      [](const Views& v, Index i) {
        return Sample{forward_lean(v[0].q(i)), std::sqrt(v[0].tilt_variance(i, Vector3d::UnitZ()))};
      });
}

MeasureTrace trunk_side_lean(const TraceSource& source, Side) {
  return make_trace("trunk_side_lean", Side::middle, Unit::radian, source,
                    {trunk_placement(source)}, [](const Views& v, Index i) {
                      const Vector3d y = v[0].up_axis(i);
                      const double across = v[0].tilt_variance(i, Vector3d::UnitX()) +
                                            square(y.x()) * v[0].facing_variance(i);
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
