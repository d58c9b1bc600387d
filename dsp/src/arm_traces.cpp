#include "arm_traces.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "strapline/dsp/joint_angles.hpp"
#include "strapline/dsp/rotation.hpp"

#include "square.hpp"
#include "tilt_change.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// What of a segment's standing is uncertain, rad, about its own X and Z.
struct Plumb {
  double x_sd, z_sd;
};

/// One segment at one sample, with the independent turns by which its orientation may be wrong.
struct Posture {
  Quaterniond q_world_from_segment;
  const PreparedStrap* strap;
  const TiltChange* tilt;
  Index at;
  double heading_u, facing_u, tissue;  ///< rad, 1 sigma; tissue per axis
  Plumb plumb;

  /// Variance, rad², of a quantity whose gradient with respect to a small turn of this segment, in
  /// world axes, is `g`. Standing errors are fixed in the segment. A wrong facing turns the segment
  /// about its own Y and its world back about the vertical: while standing both cancel.
  [[nodiscard]] double variance(const Vector3d& g) const {
    const auto axis = [&](const Vector3d& own) { return Vector3d(q_world_from_segment * own); };
    const Vector3d facing = axis(Vector3d::UnitY()) - world_up();
    return square(g.dot(axis(Vector3d::UnitX())) * plumb.x_sd) +
           square(g.dot(axis(Vector3d::UnitZ())) * plumb.z_sd) + square(g.dot(facing) * facing_u) +
           square(g.y() * heading_u) + tilt->variance_since_still(at, g) +
           cross_axis_variance(*strap, at, g) +
           (square(g.x()) + square(g.z())) * square(strap->shift_u) +
           g.squaredNorm() * square(tissue);
  }
};

/// A strap's postures over the recording.
class View {
 public:
  View(const PreparedStrap& strap, const TraceSource& source, Plumb plumb)
      : strap_(strap), source_(source), tilt_(strap), plumb_(plumb) {}

  [[nodiscard]] Posture at(Index i) const {
    const double tissue = soft_tissue_per_axis(source_.budget, strap_.placement.segment);
    return {strap_.q_world_from_segment[static_cast<std::size_t>(i)],
            &strap_,
            &tilt_,
            i,
            std::sqrt(heading_variance_since_still(strap_, i)),
            std::hypot(strap_.alignment->facing_u, strap_.twist_u),
            tissue * source_.depth_share[i],
            plumb_};
  }

 private:
  const PreparedStrap& strap_;
  const TraceSource& source_;
  TiltChange tilt_;
  Plumb plumb_;
};

struct Need {
  Placement placement;
  Plumb plumb;
};

using Measuring = std::function<Sample(const std::vector<Posture>&)>;

MeasureTrace measured(const char* base, Side side, const TraceSource& source,
                      const std::vector<Need>& needs, const Measuring& measuring) {
  std::vector<Placement> placements;
  std::vector<View> views;
  for (const Need& need : needs) {
    placements.push_back(need.placement);
    if (!missing_reason(source.straps, need.placement).empty()) continue;  // sampled_trace says why
    views.emplace_back(*strap_at(source.straps, need.placement), source, need.plumb);
  }
  return sampled_trace(base, side, Unit::radian, source, placements, [&](Index i) {
    std::vector<Posture> postures;
    for (const View& view : views) postures.push_back(view.at(i));
    return measuring(postures);
  });
}

/// Angle from a proximal segment to a distal one's Y, with the gradient of the angle with respect
/// to that Y in the proximal's axes. A small turn δ of the distal in world axes changes it by
/// (Y × R·gradient)·δ, one of the proximal by the opposite.
Sample between(const Posture& proximal, const Posture& distal, double value,
               const Vector3d& y_world, const Vector3d& gradient) {
  const Vector3d g = y_world.cross(proximal.q_world_from_segment * gradient);
  return {value, std::sqrt(proximal.variance(g) + distal.variance(g))};
}

/// Gradient of −atan2(y.x, y.y) with respect to y, the distal's Y in the proximal's axes.
Vector3d sagittal_gradient(const Posture& proximal, const Vector3d& y_world) {
  const Vector3d y = proximal.q_world_from_segment.conjugate() * y_world;
  const double size = std::max(0.01, square(y.x()) + square(y.y()));
  return Vector3d(-y.y(), y.x(), 0.0) / size;
}

/// −atan2(y.x, y.y) of the distal's Y in the proximal's axes: flexion, piked, rounded.
Sample sagittal(const Posture& proximal, const Posture& distal, double value) {
  const Vector3d world = distal.q_world_from_segment * Vector3d::UnitY();
  return between(proximal, distal, value, world, sagittal_gradient(proximal, world));
}

/// What is left in an elbow's flexion of how far from plumb the arm hung, rad: upper arm and
/// forearm share it, so it cancels but for how far the forearm has twisted since, and for the share
/// `sideways` that the upper arm's frame takes of it about its own X.
double hanging_u(const Posture& upper, const Posture& fore, const ErrorBudget& budget,
                 double sideways) {
  const Vector3d world = fore.q_world_from_segment * Vector3d::UnitY();
  const Vector3d g = world.cross(upper.q_world_from_segment * sagittal_gradient(upper, world));
  const auto seen = [&](const Vector3d& axis, double upper_share) {
    return g.dot(fore.q_world_from_segment * axis) -
           upper_share * g.dot(upper.q_world_from_segment * axis);
  };
  return std::hypot(budget.standing_limb * seen(Vector3d::UnitZ(), 1.0),
                    budget.standing_limb_across * seen(Vector3d::UnitX(), sideways));
}

Plumb plumb_of(const TraceSource& source) {
  return {source.budget.standing_across, source.budget.standing};
}

Plumb plumb_of_limb(const TraceSource& source) {
  return {source.budget.standing_limb_across, source.budget.standing_limb};
}

bool upper_arm_is_hinged(const TraceSource& source, Side side) {
  const PreparedStrap* strap = strap_at(source.straps, {Segment::upper_arm, side});
  return strap != nullptr && strap->alignment && strap->alignment->by_hinge;
}

/// Sideways, the hinge and the way arms hang have been averaged.
std::vector<Need> trunk_and_arm(const TraceSource& source, Side side) {
  const ErrorBudget& b = source.budget;
  const Placement arm{Segment::upper_arm, side};
  const bool hinged = upper_arm_is_hinged(source, side);
  const double sideways =
      hinged ? 0.5 * std::hypot(b.standing_limb_across, b.hinge_square) : b.standing_limb_across;
  return {{trunk_placement(source), plumb_of(source)}, {arm, {sideways, b.standing_limb}}};
}

}  // namespace

MeasureTrace elbow_flexion_trace(const TraceSource& source, Side side) {
  const ErrorBudget& b = source.budget;
  const double square_share = upper_arm_is_hinged(source, side) ? 0.5 : 0.0;
  return measured(
      "elbow_flexion", side, source,
      {{{Segment::upper_arm, side}, {square_share * b.hinge_square, 0.0}},
       {{Segment::forearm, side}, {0.0, b.elbow_rest_sd}}},
      [&b, square_share](const std::vector<Posture>& p) {
        // Both share the facing that the raise showed: what stays is the hinge's.
        Posture upper = p[0], fore = p[1];
        fore.facing_u = std::sqrt(std::max(0.0, square(fore.facing_u) - square(upper.facing_u)));
        upper.facing_u = 0.0;
        Sample s = sagittal(upper, fore,
                            elbow_flexion(upper.q_world_from_segment, fore.q_world_from_segment));
        s.u = std::hypot(s.u, hanging_u(upper, fore, b, 1.0 - square_share));
        return s;
      });
}

MeasureTrace elbow_flare_trace(const TraceSource& source, Side side) {
  return measured(
      "elbow_flare", side, source, trunk_and_arm(source, side), [](const std::vector<Posture>& p) {
        const Vector3d d = to_elbow_in_trunk(p[0].q_world_from_segment, p[1].q_world_from_segment);
        const double size = std::max(0.01, square(d.y()) + square(d.z()));
        const double sign = d.z() < 0.0 ? -1.0 : 1.0;
        const Vector3d gradient = Vector3d(0.0, sign * d.z(), -sign * d.y()) / size;
        const Vector3d world = p[1].q_world_from_segment * -Vector3d::UnitY();
        return between(p[0], p[1], elbow_flare(d), world, gradient);
      });
}

MeasureTrace elbow_plane_trace(const TraceSource& source, Side side) {
  return measured(
      "elbow_plane", side, source, trunk_and_arm(source, side), [](const std::vector<Posture>& p) {
        const Vector3d d = to_elbow_in_trunk(p[0].q_world_from_segment, p[1].q_world_from_segment);
        const Vector3d gradient =
            Vector3d::UnitX() / std::sqrt(std::max(0.01, 1.0 - square(d.x())));
        const Vector3d world = p[1].q_world_from_segment * -Vector3d::UnitY();
        return between(p[0], p[1], elbow_plane(d), world, gradient);
      });
}

MeasureTrace forearm_tilt_trace(const TraceSource& source, Side side) {
  const ErrorBudget& b = source.budget;
  return measured(
      "forearm_tilt", side, source,
      {{{Segment::forearm, side},
        {b.standing_limb_across, std::hypot(b.standing_limb, b.elbow_rest_sd)}}},
      [](const std::vector<Posture>& p) {
        const Vector3d y = p[0].q_world_from_segment * Vector3d::UnitY();
        const Vector3d flat(y.x(), 0.0, y.z());
        // The gradient of the angle from the vertical, and the turn that changes it.
        const Vector3d g = world_up().cross(flat).normalized();
        return Sample{forearm_tilt(p[0].q_world_from_segment), std::sqrt(p[0].variance(g))};
      });
}

namespace {

/// The mean of both thighs. Their straps are two, but they stand as one.
MeasureTrace body_line_of_both(const TraceSource& source) {
  const Placement left{Segment::thigh, Side::left}, right{Segment::thigh, Side::right};
  const Need trunk{trunk_placement(source), plumb_of(source)};
  const Plumb stood = plumb_of_limb(source);
  return measured(
      "body_line", Side::middle, source, {trunk, {left, {0.0, 0.0}}, {right, {0.0, 0.0}}},
      [stood](const std::vector<Posture>& p) {
        Vector3d g_trunk = Vector3d::Zero();
        double value = 0.0, variance = 0.0, about_x = 0.0, about_z = 0.0;
        for (const Posture& thigh : {p[1], p[2]}) {
          const Vector3d world = thigh.q_world_from_segment * Vector3d::UnitY();
          const Vector3d g =
              0.5 * world.cross(p[0].q_world_from_segment * sagittal_gradient(p[0], world));
          value += 0.5 * body_line(p[0].q_world_from_segment, thigh.q_world_from_segment);
          variance += thigh.variance(g);
          about_x += g.dot(thigh.q_world_from_segment * Vector3d::UnitX());
          about_z += g.dot(thigh.q_world_from_segment * Vector3d::UnitZ());
          g_trunk += g;
        }
        variance +=
            p[0].variance(g_trunk) + square(std::hypot(stood.x_sd * about_x, stood.z_sd * about_z));
        return Sample{value, std::sqrt(variance)};
      });
}

MeasureTrace body_line_by(const TraceSource& source, Side side) {
  const Placement thigh{Segment::thigh, side};
  return measured("body_line", Side::middle, source,
                  {{trunk_placement(source), plumb_of(source)}, {thigh, plumb_of_limb(source)}},
                  [](const std::vector<Posture>& p) {
                    return sagittal(
                        p[0], p[1],
                        body_line(p[0].q_world_from_segment, p[1].q_world_from_segment));
                  });
}

}  // namespace

MeasureTrace body_line_trace(const TraceSource& source, Side) {
  const Placement left{Segment::thigh, Side::left}, right{Segment::thigh, Side::right};
  if (!missing_reason(source.straps, right).empty()) return body_line_by(source, Side::left);
  if (!missing_reason(source.straps, left).empty()) return body_line_by(source, Side::right);
  return body_line_of_both(source);
}

MeasureTrace back_rounding_trace(const TraceSource& source, Side) {
  // Counts from standing, where both are upright by definition: no standing error.
  return measured("back_rounding", Side::middle, source,
                  {{{Segment::upper_back, Side::middle}, {0.0, 0.0}},
                   {{Segment::lower_back, Side::middle}, {0.0, 0.0}}},
                  [](const std::vector<Posture>& p) {
                    return sagittal(
                        p[0], p[1],
                        back_rounding(p[0].q_world_from_segment, p[1].q_world_from_segment));
                  });
}

}  // namespace strapline::dsp
