#pragma once

#include <numbers>

#include "arm_plan.hpp"

namespace strapline::recordings::synthetic {

/// Half the distance of the shoulder joints, share of the height (Drillis & Contini, from memory).
inline constexpr double kHalfShoulders = 0.129;
inline constexpr double kThoraxUp =
    0.48;  ///< of the trunk's length, thorax's lower end to shoulders

/// The joint-level inputs of the arm chain at one time.
template <class S>
struct ArmDrives {
  S placed{};                     ///< 0 standing … 1 in the start position or the set
  S bow{}, raise{}, bend{};       ///< rad, alignment movements
  S progress{};                   ///< 0 start position … 1 at the turn
  S mean_flexion{};               ///< rad, of the set's posture
  SidePair<S> flexion;            ///< rad, of the elbow as it is
  SidePair<S> elbow_turn;         ///< rad
  S body_line{};                  ///< rad
  S turn{}, side_lean{}, lean{};  ///< rad, sway
};

template <class S>
void add_reps(const ArmPlan& plan, const S& t, ArmDrives<S>& drives) {
  const ArmSetParams& p = plan.params;
  drives.mean_flexion = S(p.start_flexion) + sway_at(plan.sway.flexion, t);
  drives.elbow_turn = {S(p.elbow_turn.left), S(p.elbow_turn.right)};
  drives.body_line = S(p.body_line);
  S difference(0.0);
  for (const ArmExcursion& e : plan.reps) {
    if (value_of(t) <= e.start || value_of(t) >= e.end()) continue;
    const S s = shape(e, t);
    drives.progress += s;
    drives.mean_flexion += S(e.travel) * s;
    difference += S(0.5 * e.difference) * s;
    drives.elbow_turn.left += S(e.elbow_turn.left) * s;
    drives.elbow_turn.right += S(e.elbow_turn.right) * s;
    drives.body_line += S(e.body_line) * s;
  }
  drives.flexion = {drives.mean_flexion + difference, drives.mean_flexion - difference};
}

template <class S>
S sum_of(const std::vector<Excursion>& excursions, const S& t) {
  S sum(0.0);
  for (const Excursion& e : excursions) sum += S(e.travel) * shape(e, t);
  return sum;
}

template <class S>
ArmDrives<S> arm_drives_at(const ArmPlan& plan, const S& t) {
  ArmDrives<S> drives;
  const ArmSetParams& p = plan.params;
  const S ready(p.parts.get_ready);
  add_reps(plan, t, drives);
  if (p.reps > 0) {  // who does no rep stays standing
    drives.placed = smoothstep<S>((t - S(plan.ready_from)) / ready) -
                    smoothstep<S>((t - S(plan.leave_from)) / ready);
  }
  drives.bow = sum_of(plan.bows, t);
  drives.raise = sum_of(plan.raises, t);
  drives.bend = sum_of(plan.bends, t);
  drives.turn = sway_at(plan.sway.turn, t);
  drives.side_lean = sway_at(plan.sway.side_lean, t);
  drives.lean = sway_at(plan.sway.lean, t);
  const auto elbow = [&](const S& in_set, double hanging) {
    return in_set * drives.placed + (S(hanging) + drives.bend) * (S(1.0) - drives.placed);
  };
  drives.flexion = {elbow(drives.flexion.left, p.standing.elbow_flexion.left),
                    elbow(drives.flexion.right, p.standing.elbow_flexion.right)};
  return drives;
}

template <class S>
S hand_to_shoulder_squared(const BodyLengths& body, const S& flexion) {
  using std::cos;
  const double a = body.upper_arm;
  const double b = body.forearm;
  return S(a * a + b * b) + S(2.0 * a * b) * cos(flexion);
}

inline double hands_beside_shoulders(const ArmPlan& plan) {
  return (plan.params.hand_width - 1.0) * kHalfShoulders * plan.body.height;
}

/// Toes to hip with straight legs, m.
inline double leg_length(const BodyLengths& body) {
  return body.thigh + body.shank + body.ankle_height;
}

/// Middle of the shoulders and the trunk's axes.
template <class S>
struct TrunkPose {
  Vector3<S> shoulders;
  Matrix3<S> world_from_trunk;
};

/// Push-up: the shoulders are where the arms' circle about the hands meets the body's about the
/// toes; the body is a triangle of legs, trunk and the line from toes to shoulders.
template <class S>
TrunkPose<S> push_up_trunk(const ArmPlan& plan, const ArmDrives<S>& drives) {
  using std::asin;
  using std::cos;
  using std::sin;
  using std::sqrt;
  const double legs = leg_length(plan.body);
  const double trunk = plan.body.trunk;
  const S reach2 = S(legs * legs + trunk * trunk) + S(2.0 * legs * trunk) * cos(drives.body_line);
  const double beside = hands_beside_shoulders(plan);
  const S arms2 = hand_to_shoulder_squared(plan.body, drives.mean_flexion) - S(beside * beside);
  const double h = plan.toes_behind;
  const S ahead = (reach2 - arms2 + S(h * h)) / S(2.0 * h);
  const S height = sqrt(reach2 - ahead * ahead);
  const S reach = sqrt(reach2);
  const S elevation = asin(height / reach) - asin(S(legs) * sin(drives.body_line) / reach);
  const S lean = S(deg(90.0)) - elevation + drives.lean;
  const ArmSetParams& p = plan.params;
  return {
      Vector3<S>(ahead - S(h), height + S(plan.setting.height), S(0.0)),
      upright_frame<S>(S(p.set_turn) + drives.turn, S(p.set_side_lean) + drives.side_lean, lean)};
}

/// Where the shoulders are from the middle of the hands, m: ahead, and above (negative: below).
template <class S>
struct ShouldersFromHands {
  S ahead, above;
};

template <class S>
ShouldersFromHands<S> shoulders_from_hands(const ArmPlan& plan, const ArmDrives<S>& drives) {
  using std::sqrt;
  const ArmSetParams& p = plan.params;
  const double beside = hands_beside_shoulders(plan);
  const S ahead = S(p.shoulders_ahead) + S(p.shoulders_ahead_more) * drives.progress;
  const S apart2 =
      hand_to_shoulder_squared(plan.body, drives.mean_flexion) - S(beside * beside) - ahead * ahead;
  return {ahead, S(plan.setting.hands_above ? -1.0 : 1.0) * sqrt(apart2)};
}

/// All but the push-up: the shoulders hang from the hands or rest on them, or stay where they are.
template <class S>
TrunkPose<S> hung_trunk(const ArmPlan& plan, const ArmDrives<S>& drives) {
  const ArmSetParams& p = plan.params;
  const S height(plan.setting.height);
  Vector3<S> shoulders(S(0.0), height, S(0.0));
  if (plan.setting.hands_fixed) {
    const ShouldersFromHands<S> from = shoulders_from_hands(plan, drives);
    shoulders = Vector3<S>(from.ahead, height + from.above, S(0.0));
  }
  const S lean = S(p.trunk_lean) + S(p.trunk_lean_more) * drives.progress + drives.lean;
  return {shoulders, upright_frame<S>(S(p.set_turn) + drives.turn,
                                      S(p.set_side_lean) + drives.side_lean, lean)};
}

template <class S>
TrunkPose<S> set_trunk(const ArmPlan& plan, const ArmDrives<S>& drives) {
  return plan.params.movement == ArmMovement::push_up ? push_up_trunk(plan, drives)
                                                      : hung_trunk(plan, drives);
}

/// m, in the world: fixed, or held under or over the shoulders.
template <class S>
Vector3<S> hand_centre(const ArmPlan& plan, const ArmDrives<S>& drives, const TrunkPose<S>& trunk,
                       bool right) {
  const double wide =
      (right ? 1.0 : -1.0) * plan.params.hand_width * kHalfShoulders * plan.body.height;
  if (plan.setting.hands_fixed) return {S(0.0), S(plan.setting.height), S(wide)};
  const ShouldersFromHands<S> from = shoulders_from_hands(plan, drives);
  return {trunk.shoulders.x() - from.ahead, trunk.shoulders.y() - from.above, S(wide)};
}

/// Unit, in the world: where the elbow goes at elbow_turn 0.
template <class S>
Vector3<S> elbow_towards(const ArmPlan& plan, const TrunkPose<S>& trunk) {
  switch (plan.setting.elbows) {
    case ElbowsTowards::feet:
      return -trunk.world_from_trunk.col(1);
    case ElbowsTowards::backwards:
      return -trunk.world_from_trunk.col(0);
    case ElbowsTowards::forwards:
      break;
  }
  return trunk.world_from_trunk.col(0);
}

template <class S>
Vector3<S> shoulder_centre(const ArmPlan& plan, const TrunkPose<S>& trunk, bool right) {
  const double side = right ? 1.0 : -1.0;
  return trunk.shoulders +
         trunk.world_from_trunk.col(2) * S(side * kHalfShoulders * plan.body.height);
}

/// The upper arm with the hand in its place: elbow on the circle about the line from hand to
/// shoulder, in the direction that elbow_turn says. Z is the elbow's hinge: the hand bends forwards
/// of a hanging arm.
template <class S>
Matrix3<S> set_upper_arm(const ArmPlan& plan, const ArmDrives<S>& drives, const TrunkPose<S>& trunk,
                         bool right) {
  using std::cos;
  using std::sin;
  using std::sqrt;
  const double side = right ? 1.0 : -1.0;
  const Vector3<S> apart =
      shoulder_centre(plan, trunk, right) - hand_centre(plan, drives, trunk, right);
  const Vector3<S> line = apart / sqrt(apart.dot(apart));
  const S& angle = right ? drives.elbow_turn.right : drives.elbow_turn.left;
  const Vector3<S> out = trunk.world_from_trunk.col(2) * S(side);
  const Vector3<S> asked = elbow_towards(plan, trunk) * cos(angle) + out * sin(angle);
  const Vector3<S> across = asked - line * line.dot(asked);
  const Vector3<S> bend = across / sqrt(across.dot(across));
  const double a = plan.body.upper_arm;
  const double b = plan.body.forearm;
  const S& flexion = drives.mean_flexion;
  const S length = sqrt(hand_to_shoulder_squared(plan.body, flexion));
  const S upper_part = (S(a) + S(b) * cos(flexion)) / length;  // of Y along the line
  const S cross_part = S(b) * sin(flexion) / length;
  return frame_from_y_z<S>(line * upper_part - bend * cross_part, line.cross(bend));
}

/// Standing: turned back from the start position by one turn, then what sways and moves in the set.
template <class S>
Matrix3<S> changed(const Change& change, const S& placed, const Matrix3<S>& standing,
                   const Matrix3<S>& in_set) {
  const Eigen::AngleAxisd& turn = change.standing_from_start;
  const Matrix3<S> moved = change.start_from_world.cast<S>() * in_set;
  return standing * turn_about<S>(turn.axis(), S(turn.angle()) * placed) * moved;
}

inline Eigen::Matrix3d hanging_arm(const ArmStanding& standing, bool right) {
  const auto pick = [right](const Sides& s) { return right ? s.right : s.left; };
  const double side = right ? 1.0 : -1.0;
  return twisted<double>(
      upright_frame<double>(0.0, -side * pick(standing.arm_out), -pick(standing.arm_forwards)),
      side * pick(standing.arm_turn));
}

/// Raised to the side: the arm's plane is `plane` ahead of the frontal one.
template <class S>
Matrix3<S> standing_upper_arm(const ArmPlan& plan, const S& raise, bool right) {
  const Sides& planes = plan.params.parts.raise_plane;
  const double plane = right ? planes.right : planes.left;
  const double side = right ? 1.0 : -1.0;
  const Eigen::Vector3d axis(-side * std::cos(plane), 0.0, std::sin(plane));
  return turn_about<S>(axis, raise) * hanging_arm(plan.params.standing, right).template cast<S>();
}

template <class S>
Matrix3<S> standing_trunk(const ArmPlan& plan, const S& bow) {
  const ArmParts& parts = plan.params.parts;
  const ArmStanding& s = plan.params.standing;
  const Eigen::Vector3d axis(-std::sin(parts.bow_plane), 0.0, -std::cos(parts.bow_plane));
  return turn_about<S>(axis, bow) *
         upright_frame<double>(0.0, s.trunk_side_lean, s.trunk_lean).template cast<S>();
}

/// The body as it is at one time.
template <class S>
struct ArmPose {
  TrunkPose<S> trunk;
  Vector3<S> hip;
  Matrix3<S> world_from_lower_back, world_from_thigh;
  SidePair<Matrix3<S>> upper_arm, forearm;
};

template <class S>
Matrix3<S> thigh_in_set(const ArmDrives<S>& drives, const Matrix3<S>& world_from_trunk) {
  return world_from_trunk * upright_frame<S>(S(0.0), S(0.0), -drives.body_line);
}

template <class S>
ArmPose<S> arm_pose(const ArmPlan& plan, const ArmDrives<S>& drives) {
  const ArmSetParams& p = plan.params;
  const S& placed = drives.placed;
  const TrunkPose<S> in_set = set_trunk(plan, drives);
  const Matrix3<S> upright = standing_trunk(plan, drives.bow);
  ArmPose<S> pose;
  pose.trunk.world_from_trunk = changed<S>(plan.trunk, placed, upright, in_set.world_from_trunk);
  const double stand_x = p.movement == ArmMovement::push_up ? -0.6 : 0.0;
  const Eigen::Vector3d hips(stand_x, leg_length(plan.body), 0.0);
  const Vector3<S> standing = hips.cast<S>() + upright.col(1) * S(plan.body.trunk);
  pose.trunk.shoulders = standing + (in_set.shoulders - standing) * placed;
  pose.hip = pose.trunk.shoulders - pose.trunk.world_from_trunk.col(1) * S(plan.body.trunk);
  pose.world_from_thigh =
      changed<S>(plan.thigh, placed, upright_frame<S>(S(0.0), S(0.0), S(p.standing.thigh_lean)),
                 thigh_in_set(drives, in_set.world_from_trunk));
  const S rounding =
      S(p.standing.back_rounding) + S(p.rounding) * placed + S(p.rounding_more) * drives.progress;
  pose.world_from_lower_back =
      pose.trunk.world_from_trunk * upright_frame<S>(S(0.0), S(0.0), -rounding);
  for (const bool right : {false, true}) {
    const Change& change = right ? plan.upper_arm.right : plan.upper_arm.left;
    const Matrix3<S> upper =
        changed<S>(change, placed, standing_upper_arm(plan, drives.raise, right),
                   set_upper_arm(plan, drives, in_set, right));
    const S& flexion = right ? drives.flexion.right : drives.flexion.left;
    const double twist = right ? p.forearm_twist.right : -p.forearm_twist.left;
    const Matrix3<S> bent = upper * upright_frame<S>(S(0.0), S(0.0), -flexion);
    (right ? pose.upper_arm.right : pose.upper_arm.left) = upper;
    (right ? pose.forearm.right : pose.forearm.left) = twisted<S>(bent, S(twist) * placed);
  }
  return pose;
}

}  // namespace strapline::recordings::synthetic
