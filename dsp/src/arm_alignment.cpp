#include "arm_alignment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/rotation.hpp"

#include "measure_traces.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kLeastRaise = 0.6;      // rad (35°): less shows no frontal plane
constexpr double kLeastBend = 0.6;       // rad (35°) of the forearm
constexpr double kLeastThighTurn = 0.6;  // rad (35°): less does not tell forwards from backwards
constexpr double kElbowAhead = 0.3;      // rad (17°): a hanging arm's elbow turns inwards
constexpr double kRaised = 0.26;         // rad (15°): the upper arm is away from hanging

PreparedStrap* find(std::vector<PreparedStrap>& straps, Placement placement) {
  return const_cast<PreparedStrap*>(strap_at(straps, placement));
}

bool is_trunk(Segment segment) {
  return segment == Segment::chest || segment == Segment::upper_back ||
         segment == Segment::lower_back || segment == Segment::pelvis;
}

std::string turned_too_little(const PreparedStrap& strap, const char* what) {
  return fmt::format("the strap on {} turned too little in {} to show its axes",
                     to_string(strap.placement), what);
}

/// Largest tilt away from standing within an interval, rad.
double furthest_tilt(const PreparedStrap& strap, const Vector3d& up, const VectorXd& t,
                     const Interval& within) {
  double furthest = 0.0;
  for (Index i = nearest_index(t, within.from_s); i <= nearest_index(t, within.to_s); ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (strap.motion.known[at] == 0) continue;
    const double y = (strap.motion.q_world_from_sensor[at] * up).y();
    furthest = std::max(furthest, std::acos(std::clamp(y, -1.0, 1.0)));
  }
  return furthest;
}

void align_trunk(PreparedStrap& strap, const VectorXd& t, const ResolvedParts& parts,
                 const ErrorBudget& budget) {
  strap.alignment = align_to_segment(strap.motion, t, *parts.still, *parts.align, -1.0);
  if (!strap.alignment) {
    strap.trouble = turned_too_little(strap, "the bow");
    return;
  }
  strap.alignment->facing_u = std::hypot(budget.bow_plane, strap.alignment->axis_u);
  follow_segment(strap);
}

void align_thigh(PreparedStrap& strap, const VectorXd& t, const ResolvedParts& parts,
                 const ErrorBudget& budget) {
  strap.alignment = align_to_segment(strap.motion, t, *parts.still, parts.set, -1.0);
  if (!strap.alignment || strap.alignment->turn < kLeastThighTurn) {
    strap.alignment.reset();
    strap.trouble = turned_too_little(strap, "getting to the start position");
    return;
  }
  strap.alignment->facing_u = std::hypot(budget.trunk_facing, strap.alignment->axis_u);
  follow_segment(strap);
}

/// The stretch of the align part in which the upper arm is away from hanging.
std::optional<Interval> raise_of(const PreparedStrap& upper, const Vector3d& up, const VectorXd& t,
                                 const Interval& align) {
  std::optional<Interval> raise;
  for (Index i = nearest_index(t, align.from_s); i <= nearest_index(t, align.to_s); ++i) {
    if (furthest_tilt(upper, up, t, {t[i], t[i]}) < kRaised) continue;
    if (!raise) raise = Interval{t[i], t[i]};
    raise->to_s = t[i];
  }
  if (!raise || furthest_tilt(upper, up, t, *raise) < kLeastRaise) return std::nullopt;
  return raise;
}

/// The elbow bends come before the raise or after it: where the forearm turns further.
Interval bends_of(const PreparedStrap& fore, const Vector3d& up, const VectorXd& t,
                  const Interval& align, const std::optional<Interval>& raise) {
  if (!raise) return align;
  const Interval before{align.from_s, raise->from_s};
  const Interval after{raise->to_s, align.to_s};
  return furthest_tilt(fore, up, t, before) >= furthest_tilt(fore, up, t, after) ? before : after;
}

/// What hanging and raising shows of an upper arm.
struct HangingArm {
  Vector3d up;          ///< sensor
  double facing = 0.0;  ///< rad, heading of the client's X in the strap's world
  double axis_u = 0.0;  ///< rad
  Vector3d right;       ///< the client's Z, sensor, while hanging
};

/// The arm goes up to its own side, turning about −X on the right and about X on the left.
std::optional<HangingArm> hanging_arm(const PreparedStrap& upper, const VectorXd& t,
                                      const Interval& still, const Interval& raise) {
  const auto up = up_in_sensor(upper.motion, t, still);
  const auto seen = align_to_segment(upper.motion, t, still, raise, 1.0);
  if (!up || !seen) return std::nullopt;
  // Of the frame that takes the axis of the raise for Z: X is ∓Z of the client, Z is ±X.
  const double side = upper.placement.side == Side::right ? 1.0 : -1.0;
  const Vector3d frame_x = seen->q_sensor_from_segment * Vector3d::UnitX();
  return HangingArm{*up, wrap_angle(seen->start_heading + side * 0.5 * std::numbers::pi),
                    seen->axis_u, side * frame_x};
}

/// How an arm hangs, rad: elbow (hand) away from the body, and ahead of plumb.
struct Hanging {
  double away = 0.0, ahead = 0.0;
};

/// Of an upper arm's tilt about X, where its hinge was found: both are known about equally well.
constexpr double kHungShare = 0.5;

/// Z along the hinge, Y as up while hanging says, corrected by how arms hang. Where `square` the
/// hinge was found apart from up: then Y goes a part of the way that is left to its square.
Quaterniond arm_frame(const Vector3d& up, const Vector3d& hinge, const Vector3d& outwards,
                      const Hanging& hanging, bool square) {
  const Vector3d forwards = up.cross(hinge).normalized();
  const Vector3d hangs =
      (up - std::tan(hanging.away) * outwards - std::tan(hanging.ahead) * forwards).normalized();
  const double by_hinge = square ? 1.0 - kHungShare : 0.0;
  const Vector3d y = (hangs - by_hinge * hinge * hinge.dot(hangs)).normalized();
  const Vector3d z = (hinge - y * y.dot(hinge)).normalized();
  Eigen::Matrix3d sensor_from_segment;
  sensor_from_segment << y.cross(z), y, z;
  return Quaterniond(sensor_from_segment);
}

SegmentAlignment alignment_of(const Quaterniond& frame, double facing, double axis_u,
                              double facing_u, bool by_hinge) {
  SegmentAlignment a;
  a.q_sensor_from_segment = frame;
  a.start_heading = facing;
  a.axis_u = axis_u;
  a.facing_u = facing_u;
  a.by_hinge = by_hinge;
  return a;
}

/// An upper arm without its forearm: the raise alone says which way is right.
void align_upper_arm(PreparedStrap& upper, const HangingArm& arm, const ErrorBudget& budget) {
  const double side = upper.placement.side == Side::right ? 1.0 : -1.0;
  const Quaterniond frame =
      arm_frame(arm.up, arm.right, side * arm.right, {budget.arm_out, 0.0}, false);
  upper.alignment = alignment_of(frame, arm.facing, arm.axis_u,
                                 std::hypot(budget.raise_plane, arm.axis_u), false);
}

/// The forearm from hanging and the bends, taken as straight ahead: which way the hinge points
/// against the upper arm shows only where the upper arm moves too.
void align_by_bends(const HangingArm& arm, PreparedStrap& fore, const Vector3d& up,
                    const SegmentAlignment& bent, const ErrorBudget& budget) {
  const double side = fore.placement.side == Side::right ? 1.0 : -1.0;
  const Vector3d z = bent.q_sensor_from_segment * Vector3d::UnitZ();
  fore.alignment =
      alignment_of(arm_frame(up, z, side * z, {budget.arm_out, budget.elbow_rest}, false),
                   bent.start_heading, bent.axis_u, std::hypot(kElbowAhead, arm.axis_u), false);
}

/// Both segments from the elbow's hinge.
void align_by_hinge(PreparedStrap& upper, const HangingArm& arm, PreparedStrap& fore,
                    const Vector3d& up, const Hinge& hinge, const ErrorBudget& budget) {
  const double side = upper.placement.side == Side::right ? 1.0 : -1.0;
  const double facing_u = std::hypot(budget.raise_plane, arm.axis_u);
  // The client's right in the forearm's sensor: as far from the hinge as in the upper arm's.
  const Vector3d right_b = hinge.axis_b * arm.right.dot(hinge.axis_a) +
                           up.cross(hinge.axis_b) * arm.right.dot(arm.up.cross(hinge.axis_a));
  upper.alignment =
      alignment_of(arm_frame(arm.up, hinge.axis_a, side * arm.right, {budget.arm_out, 0.0}, true),
                   arm.facing, hinge.mismatch, facing_u, true);
  upper.alignment->standing_share = kHungShare;
  fore.alignment = alignment_of(
      arm_frame(up, hinge.axis_b, side * right_b, {budget.arm_out, budget.elbow_rest}, false),
      wrap_angle(arm.facing - hinge.heading_a_from_b), hinge.mismatch,
      std::hypot(facing_u, hinge.heading_u), true);
}

void align_elbow(PreparedStrap& upper, const HangingArm& arm, PreparedStrap& fore,
                 const VectorXd& t, const ResolvedParts& parts, const Interval& bends,
                 const std::vector<Index>& movement, const ErrorBudget& budget) {
  const auto up = up_in_sensor(fore.motion, t, *parts.still);
  const auto bent = align_to_segment(fore.motion, t, *parts.still, bends, 1.0);
  if (!up || !bent || bent->turn < kLeastBend) {
    fore.trouble = turned_too_little(fore, "the elbow bends");
    return;
  }
  align_by_bends(arm, fore, *up, *bent, budget);
  auto hinge =
      find_hinge(upper.motion, fore.motion, movement, wrap_angle(arm.facing - bent->start_heading));
  if (!hinge) return;
  if (hinge->axis_a.dot(arm.right) < 0.0) hinge->axis_a = -hinge->axis_a;
  // A hand that turns between bends and set takes the strap with it: the forearm's own view of the
  // hinge while it hung is that of the bends.
  hinge->axis_b = bent->q_sensor_from_segment * Vector3d::UnitZ();
  align_by_hinge(upper, arm, fore, *up, *hinge, budget);
}

/// A forearm without its upper arm: up while hanging is all there is, and enough for its tilt.
void align_forearm(PreparedStrap& fore, const VectorXd& t, const ResolvedParts& parts,
                   const ErrorBudget& budget) {
  const auto up = up_in_sensor(fore.motion, t, *parts.still);
  const auto bent = align_to_segment(fore.motion, t, *parts.still, *parts.align, 1.0);
  if (!up || !bent || bent->turn < kLeastBend) {
    fore.trouble = turned_too_little(fore, "the elbow bends");
    return;
  }
  const double side = fore.placement.side == Side::right ? 1.0 : -1.0;
  const Vector3d z = bent->q_sensor_from_segment * Vector3d::UnitZ();
  fore.alignment =
      alignment_of(arm_frame(*up, z, side * z, {budget.arm_out, budget.elbow_rest}, false),
                   bent->start_heading, bent->axis_u, budget.trunk_facing, false);
}

void align_arm(std::vector<PreparedStrap>& straps, Side side, const VectorXd& t,
               const ResolvedParts& parts, const std::vector<Index>& movement,
               const ErrorBudget& budget) {
  PreparedStrap* upper = find(straps, {Segment::upper_arm, side});
  PreparedStrap* fore = find(straps, {Segment::forearm, side});
  std::optional<HangingArm> arm;
  std::optional<Interval> raise;
  if (upper != nullptr) {
    const auto up = up_in_sensor(upper->motion, t, *parts.still);
    if (up) raise = raise_of(*upper, *up, t, *parts.align);
    if (raise) arm = hanging_arm(*upper, t, *parts.still, *raise);
    if (arm) align_upper_arm(*upper, *arm, budget);
    if (!arm) upper->trouble = turned_too_little(*upper, "the arm's raise to the side");
  }
  if (fore != nullptr && arm) {
    const auto up = up_in_sensor(fore->motion, t, *parts.still);
    if (up) {
      align_elbow(*upper, *arm, *fore, t, parts, bends_of(*fore, *up, t, *parts.align, raise),
                  movement, budget);
    }
  } else if (fore != nullptr) {
    align_forearm(*fore, t, parts, budget);
  }
  for (PreparedStrap* strap : {upper, fore}) {
    if (strap != nullptr && strap->alignment) follow_segment(*strap);
  }
}

}  // namespace

void align_arms(std::vector<PreparedStrap>& straps, const VectorXd& t, const ResolvedParts& parts,
                const std::vector<Index>& movement, const ErrorBudget& budget) {
  const char* missing = !parts.still           ? "no part in which the client stands still"
                        : parts.aligned_by_set ? "no align part: arms need the elbow bends, the "
                                                 "raise to the side and the bow"
                                               : nullptr;
  for (PreparedStrap& strap : straps) {
    strap.trouble = missing != nullptr ? missing : "";
    if (missing != nullptr) continue;
    if (is_trunk(strap.placement.segment)) align_trunk(strap, t, parts, budget);
    if (strap.placement.segment == Segment::thigh) align_thigh(strap, t, parts, budget);
  }
  if (missing != nullptr) return;
  for (const Side side : {Side::left, Side::right}) {
    align_arm(straps, side, t, parts, movement, budget);
  }
}

}  // namespace strapline::dsp
