#pragma once

#include "one_leg_plan.hpp"
#include "trunk_chain.hpp"

namespace strapline::recordings::synthetic {

/// One leg's drive: what it does as the working one and as the other, on top of standing.
template <class S>
struct LegRole {
  S thigh{}, shank{};  ///< rad
};

template <class S>
struct OneLegDrives {
  SidePair<LegRole<S>> working, other;
  SidePair<S> knee_line;
  S ahead{}, up{};   ///< m, of the working foot
  SidePair<S> heel;  ///< rad, each foot's heel up
  S placed{};        ///< 0 standing … 1 in the start position
  double knee_within = deg(30.0);
  Drives<S> body;  ///< of the trunk, and sway
};

/// rad, of the foot that does not work in the start position: on its toes, or hanging.
inline constexpr double kHeelUp = deg(25.0);

inline double& pick(Sides& sides, bool right) { return right ? sides.right : sides.left; }
template <class T>
T& pick(SidePair<T>& pair, bool right) {
  return right ? pair.right : pair.left;
}
template <class T>
const T& pick(const SidePair<T>& pair, bool right) {
  return right ? pair.right : pair.left;
}

/// The step of a lunge: ahead in the first 70 % of the way down, back in the last 70 % of the way
/// up, with the foot lifted in between.
template <class S>
void add_step(const OneLegExcursion& e, const S& t, OneLegDrives<S>& drives) {
  constexpr double kShare = 0.7;
  const double size = e.working.thigh / deg(90.0);
  const double lift = 0.05 * size;        // m
  const double reach = deg(12.0) * size;  // rad, the shank swings ahead of the knee
  const S there = (t - S(e.start)) / S(kShare * e.lowering);
  const S back = (t - S(e.end() - kShare * e.lifting)) / S(kShare * e.lifting);
  drives.ahead += S(e.step) * (smoothstep<S>(there) - smoothstep<S>(back));
  drives.up += S(lift) * (bump<S>(there) + bump<S>(back));
  const S swing =
      bump<S>((t - S(e.start)) / S(e.lowering)) + bump<S>((t - S(e.lifting_start)) / S(e.lifting));
  pick(drives.working, e.side == dsp::Side::right).shank -= S(reach) * swing;
  pick(drives.heel, e.side == dsp::Side::right) += S(deg(25.0)) * (bump<S>(there) + bump<S>(back));
}

template <class S>
void add_excursion(const OneLegExcursion& e, const S& t, OneLegDrives<S>& drives) {
  const S s = shape(e, t);
  drives.knee_within = e.knee_within;
  const S dip = S(e.knee_dip) * bump<S>((t - S(e.lifting_start)) / S(0.7 * e.lifting));
  drives.knee_line.left += S(e.knee_line.left) * s + dip;
  drives.knee_line.right += S(e.knee_line.right) * s + dip;
  drives.body.trunk_lean += S(e.trunk_lean) * s;
  for (const bool right : {false, true}) {
    const bool works = e.side == dsp::Side::middle || (e.side == dsp::Side::right) == right;
    const LegAngles& angles = works ? e.working : e.other;
    LegRole<S>& role = pick(works ? drives.working : drives.other, right);
    role.thigh += S(angles.thigh) * s;
    role.shank += S(angles.shank) * s;
    if (!works) pick(drives.heel, right) += S(e.heel_up) * s;
  }
  if (e.step > 0.0) add_step(e, t, drives);
}

/// Taking up the start position: the split stance, the box.
template <class S>
void add_stance(const OneLegPlan& plan, const S& t, OneLegDrives<S>& drives) {
  const OneLegSetParams& p = plan.params;
  if (p.movement == OneLegMovement::lunge) return;
  const S ready(p.get_ready);
  const S there = (t - S(plan.ready_from)) / ready;
  const S back = (t - S(plan.leave_from)) / ready;
  drives.placed = smoothstep<S>(there) - smoothstep<S>(back);
  const bool right = p.side == dsp::Side::right;
  pick(drives.working, right).thigh += S(p.working.stance_thigh) * drives.placed;
  pick(drives.working, right).shank += S(p.working.stance_shank) * drives.placed;
  pick(drives.other, !right).thigh += S(plan.other_stance.thigh) * drives.placed;
  pick(drives.other, !right).shank += S(plan.other_stance.shank) * drives.placed;
  pick(drives.heel, !right) += S(kHeelUp) * drives.placed;
  drives.ahead += S(p.step) * drives.placed;
  drives.up += S(p.box) * drives.placed;
}

template <class S>
void add_body_sway(const Sway& sway, const S& t, Drives<S>& drives) {
  drives.hip_x += sway_at(sway.forwards, t);
  drives.hip_z += sway_at(sway.sideways, t);
  drives.pelvis_turn += sway_at(sway.turn, t);
  drives.trunk_lean += sway_at(sway.lean, t);
  drives.side_lean += sway_at(sway.side_lean, t);
}

template <class S>
OneLegDrives<S> drives_at(const OneLegPlan& plan, const S& t) {
  const OneLegSetParams& p = plan.params;
  OneLegDrives<S> drives;
  for (const OneLegExcursion& e : plan.excursions) {
    if (value_of(t) <= e.start || value_of(t) >= e.end()) continue;
    add_excursion(e, t, drives);
  }
  add_stance(plan, t, drives);
  Drives<S>& body = drives.body;
  const S bent = body.trunk_lean;
  add_body_sway(plan.sway, t, body);
  drives.knee_line.left += sway_at(plan.sway.knees.left, t);
  drives.knee_line.right += sway_at(plan.sway.knees.right, t);
  body.side_lean += S(p.posture.trunk_side_lean);
  body.pelvis_lean = S(p.posture.pelvis_lean) + S(p.pelvis_share) * bent;
  body.lower_back_lean = S(p.posture.lower_back_lean) + S(0.5 + 0.5 * p.pelvis_share) * bent;
  body.trunk_lean += S(p.posture.trunk_lean);
  return drives;
}

/// From ankle to hip in the plane of the toe line: ahead and up, m.
template <class S>
struct InPlane {
  S ahead, up;
};

template <class S>
InPlane<S> ankle_to_hip(const BodyLengths& body, const S& thigh, const S& shank) {
  using std::cos;
  using std::sin;
  return {S(body.shank) * sin(shank) - S(body.thigh) * sin(thigh),
          S(body.shank) * cos(shank) + S(body.thigh) * cos(thigh)};
}

inline ToeLine<double> toe_line_of(const OneLegPlan& plan, bool right) {
  return toe_line<double>(of_side(plan.params.toe_out, right), right);
}

/// A leg's own plane: along its toe line, and up as it slants.
struct LegPlane {
  ToeLine<double> toe;
  Eigen::Vector3d up;
};

inline LegPlane leg_plane(const OneLegPlan& plan, bool right) {
  const ToeLine<double> toe = toe_line_of(plan, right);
  const double slant = right ? plan.params.slant.right : plan.params.slant.left;
  return {toe, Eigen::Vector3d::UnitY() * std::cos(slant) + toe.inwards * std::sin(slant)};
}

/// The hips go where the working leg carries them: standing on its foot, which may step. In bends
/// of both legs each carries half.
template <class S>
Vector3<S> hip_middle(const OneLegPlan& plan, const OneLegDrives<S>& drives, double t) {
  const double share = t < plan.ready_from ? 0.5 : 1.0;
  const LegAngles& standing = plan.standing;
  const auto start = ankle_to_hip<double>(plan.body, standing.thigh, standing.shank);
  Vector3<S> hip(S(start.ahead) + drives.ahead + drives.body.hip_x,
                 S(plan.body.ankle_height + start.up) + drives.up, drives.body.hip_z);
  for (const bool right : {false, true}) {
    const LegRole<S>& role = pick(drives.working, right);
    const auto now =
        ankle_to_hip<S>(plan.body, S(standing.thigh) + role.thigh, S(standing.shank) + role.shank);
    const LegPlane plane = leg_plane(plan, right);
    hip += plane.toe.along.cast<S>() * (S(share) * (now.ahead - S(start.ahead))) +
           plane.up.cast<S>() * (S(share) * (now.up - S(start.up)));
  }
  return hip;
}

template <class S>
SidePair<Vector3<S>> hip_centres(const OneLegPlan& plan, const OneLegDrives<S>& drives, double t) {
  using std::cos;
  using std::sin;
  const Vector3<S> middle = hip_middle(plan, drives, t);
  const S half(0.5 * plan.body.hip_spacing);
  const Vector3<S> out(half * sin(drives.body.pelvis_turn), S(0.0),
                       half * cos(drives.body.pelvis_turn));
  return {middle - out, middle + out};
}

template <class S>
Leg<S> leg_of(const OneLegPlan& plan, const OneLegDrives<S>& drives, bool right, const S& t,
              const Vector3<S>& hip) {
  const OneLegSetParams& p = plan.params;
  const LegRole<S>& works = pick(drives.working, right);
  const LegRole<S>& other = pick(drives.other, right);
  const S thigh =
      S(plan.standing.thigh) + works.thigh + other.thigh + sway_at(plan.sway.flexion, t);
  const S shank = S(plan.standing.shank) + works.shank + other.shank;
  const InPlane<S> reach = ankle_to_hip<S>(plan.body, thigh, shank);
  const LegPlane plane = leg_plane(plan, right);
  const Vector3<S> ankle =
      hip - plane.toe.along.cast<S>() * reach.ahead - plane.up.cast<S>() * reach.up;
  KneeDrive<S> knee;
  knee.flexion = thigh + shank;
  knee.line = pick(drives.knee_line, right);
  knee.choice = smoothstep<S>((works.thigh + works.shank) / S(drives.knee_within));
  knee.twist = S(p.knee_twist) * works.thigh / S(deg(90.0));
  knee.wander = right ? plan.knees.right : plan.knees.left;
  const ToeLine<S> toe{plane.toe.along.cast<S>(), plane.toe.inwards.cast<S>()};
  return leg_between<S>(plan.body, toe, right, knee, ankle, hip);
}

template <class S>
SidePair<Leg<S>> both_legs(const OneLegPlan& plan, const OneLegDrives<S>& drives, const S& t) {
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives, value_of(t));
  return {leg_of(plan, drives, false, t, hips.left), leg_of(plan, drives, true, t, hips.right)};
}

}  // namespace strapline::recordings::synthetic
