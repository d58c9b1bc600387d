#pragma once

#include "drives.hpp"
#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {

/// m: a knee nearer than this to the ankle–hip line keeps to the plane of a straight leg. One that
/// sways passes through straight, where any knee line is out of reach.
inline constexpr double kStraight = 1e-4;

/// One leg. Axes as measures.md: thigh and shank Y towards the hip, Z to the right on both sides.
template <class S>
struct Leg {
  Vector3<S> ankle, knee, hip;
  Matrix3<S> world_from_thigh, world_from_shank;
};

template <class S>
const FootPlace<S>& foot_of(const Drives<S>& drives, bool right) {
  return right ? drives.feet.right : drives.feet.left;
}

template <class S>
Vector3<S> ankle_centre(const SetPlan& plan, const Drives<S>& drives, bool right) {
  const FootPlace<S>& foot = foot_of(drives, right);
  return {S(0.0), S(plan.body.ankle_height) + foot.lift, S(right ? 1.0 : -1.0) * foot.outwards};
}

/// Both hip centres: horizontally where the drives put them, each as high as its leg is long. The
/// pelvis is rigid, so its horizontal width shrinks with its slope; that depends on the heights,
/// which depend (weakly: by a factor of about 0.002 per round) on the width, hence four rounds.
template <class S>
SidePair<Vector3<S>> hip_centres(const SetPlan& plan, const Drives<S>& drives) {
  using std::cos;
  using std::sin;
  using std::sqrt;
  const S sin_turn = sin(drives.pelvis_turn);
  const S cos_turn = cos(drives.pelvis_turn);
  const SidePair<S> length2{leg_length_squared(plan.body, drives.flexion.left),
                            leg_length_squared(plan.body, drives.flexion.right)};
  const double spacing = plan.body.hip_spacing;
  S width(spacing);
  SidePair<Vector3<S>> hips;
  const auto place = [&](bool right, const S& l2) {
    const S half = width * S(right ? 0.5 : -0.5);
    const Vector3<S> ankle = ankle_centre(plan, drives, right);
    const S dx = drives.hip_x + half * sin_turn;
    const S dz = drives.hip_z + half * cos_turn - ankle.z();
    return Vector3<S>(ankle.x() + dx, ankle.y() + sqrt(l2 - dx * dx - dz * dz), ankle.z() + dz);
  };
  for (int round = 0; round < 4; ++round) {
    hips = {place(false, length2.left), place(true, length2.right)};
    const S rise = hips.right.y() - hips.left.y();
    width = sqrt(S(spacing * spacing) - rise * rise);
  }
  return hips;
}

/// What a knee does besides joining ankle and hip.
template <class S>
struct KneeDrive {
  S flexion{};  ///< rad
  S line{};     ///< m inwards
  S choice{};   ///< see Drives::knee_choice
  S twist{};    ///< rad, thigh's axial turn
  KneeWander wander;
};

/// The knee between a given ankle and hip. Its flexion leaves it one freedom, the turn of the leg's
/// plane about the ankle–hip line. Turn 0 is the plane whose hinge axis is the inward
/// normal of the toe line made perpendicular to that line: defined for a straight leg too. The
/// asked knee line sets the sine of the turn, weighted by knee_choice, which vanishes (with the
/// fourth power of travel) faster than the knee's radius about the line does, so the turn is
/// smooth and tends to 0 as the leg straightens. Thigh and shank share the hinge axis, the normal
/// of the leg's plane: the knee is a pure hinge except for what both bones turn about
/// their own length (thigh_twist, KneeWander). Not a number where the knee line is out of reach
/// (|sine| > 1).
template <class S>
Leg<S> leg_between(const BodyLengths& body, const ToeLine<S>& toe, bool right,
                   const KneeDrive<S>& knee, const Vector3<S>& ankle, const Vector3<S>& hip) {
  using std::sin;
  using std::sqrt;
  const double thigh = body.thigh;
  const double shank = body.shank;
  Leg<S> leg;
  leg.hip = hip;
  leg.ankle = ankle;
  const Vector3<S>& inwards = toe.inwards;
  const S length2 = leg_length_squared(body, knee.flexion);
  const S length = sqrt(length2);
  const Vector3<S> line = (hip - leg.ankle) / length;
  const S foot = (length2 + S(shank * shank - thigh * thigh)) / (S(2.0) * length);
  const S radius = S(thigh * shank) * sin(knee.flexion) / length;
  const S slope = line.dot(inwards);
  const S cross = sqrt(S(1.0) - slope * slope);
  const Vector3<S> inner = (inwards - line * slope) / cross;
  const Vector3<S> outer_forwards = inner.cross(line);
  const Vector3<S> forwards = right ? outer_forwards : Vector3<S>(-outer_forwards);
  const S asked = knee.line - slope * foot;
  const S sine =
      knee.choice * asked * radius / (cross * (radius * radius + S(kStraight * kStraight)));
  const Vector3<S> bend = forwards * sqrt(S(1.0) - sine * sine) + inner * sine;
  leg.knee = leg.ankle + line * foot + bend * radius;
  const Vector3<S> hinge = bend.cross(line);
  const Matrix3<S> in_plane = frame_from_y_z<S>((leg.hip - leg.knee) / S(thigh), hinge);
  leg.world_from_thigh = twisted(in_plane, knee.twist + knee.wander.thigh.at(knee.flexion));
  const Matrix3<S> shank_in_plane = frame_from_y_z<S>((leg.knee - leg.ankle) / S(shank), hinge);
  leg.world_from_shank = twisted(shank_in_plane, knee.wander.shank.at(knee.flexion));
  return leg;
}

template <class S>
Leg<S> leg_between(const SetPlan& plan, const Drives<S>& drives, bool right,
                   const Vector3<S>& hip) {
  const KneeDrive<S> knee{right ? drives.flexion.right : drives.flexion.left,
                          right ? drives.knee_line.right : drives.knee_line.left,
                          drives.knee_choice, drives.thigh_twist,
                          right ? plan.knees.right : plan.knees.left};
  const Vector3<S> ankle = ankle_centre(plan, drives, right);
  return leg_between<S>(plan.body, toe_line<S>(foot_of(drives, right).toe_out, right), right, knee,
                        ankle, hip);
}

template <class S>
S thigh_depth(const BodyLengths& body, const Leg<S>& leg) {
  using std::asin;
  return asin((leg.knee.y() - leg.hip.y()) / S(body.thigh));
}

/// The thigh seen from its side, about its own Z: −π/2 plumb, 0 horizontal to the front, below −π/2
/// with the knee behind the hip. Its rate, unlike the elevation's, does not depend on how far from
/// plumb the client stands.
template <class S>
S sided_depth(const Leg<S>& leg) {
  using std::atan2;
  return atan2(leg.world_from_thigh(1, 0), leg.world_from_thigh(1, 1)) - S(deg(90.0));
}

/// Grood & Suntay, doi 10.1115/1.3138397, of the thigh about the pelvis's Z: flexion brings the
/// knee forwards.
template <class S>
S hip_flexion(const Matrix3<S>& world_from_pelvis, const Leg<S>& leg) {
  using std::atan2;
  const Vector3<S> thigh_y = world_from_pelvis.transpose() * leg.world_from_thigh.col(1);
  return atan2(-thigh_y.x(), thigh_y.y());
}

}  // namespace strapline::recordings::synthetic
