#pragma once

#include "feet.hpp"
#include "sway.hpp"

namespace strapline::recordings::synthetic {

/// The joint-level inputs of the body chain at one time, from the plan's smooth profiles.
template <class S>
struct Drives {
  S travel{};                         ///< rad of thigh travel from standing
  S shank{};                          ///< rad of shank lean on top of standing
  S hip_x{}, hip_z{}, pelvis_turn{};  ///< m ahead of the ankles, m to the right, rad to the left
  SidePair<S> flexion, knee_line;     ///< rad, m inwards
  double knee_within = deg(30.0);     ///< rad of travel until knee_choice is 1
  S knee_choice{};  ///< 0 straight: knee on the ankle–hip line; 1: on the asked knee line
  S thigh_twist{};  ///< rad
  S pelvis_lean{}, lower_back_lean{}, trunk_lean{}, side_lean{};  ///< rad
  SidePair<FootPlace<S>> feet;
};

/// Over the first 70 % of lifting.
template <class S>
S early_lifting(const SquatExcursion& e, const S& t) {
  return bump<S>((t - S(e.lifting_start)) / S(0.7 * e.lifting));
}

template <class S>
void add_excursions(const SetPlan& plan, const S& t, Drives<S>& drives) {
  for (const SquatExcursion& e : plan.excursions) {
    if (value_of(t) <= e.start || value_of(t) >= e.end()) continue;
    const S s = shape(e, t);
    const S early = early_lifting(e, t);
    drives.knee_within = e.knee_within;
    drives.travel += S(e.travel) * s;
    drives.shank += S(e.shank_per_travel * e.travel) * s;
    drives.knee_line.left += S(e.knee_line.left) * s + S(e.knee_dip) * early;
    drives.knee_line.right += S(e.knee_line.right) * s + S(e.knee_dip) * early;
    drives.trunk_lean += S(e.trunk_lean) * s + S(e.trunk_lean_extra) * early;
  }
}

template <class S>
void add_sway(const SetPlan& plan, const S& t, Drives<S>& drives) {
  drives.hip_x += sway_at(plan.sway.forwards, t);
  drives.hip_z += sway_at(plan.sway.sideways, t);
  drives.pelvis_turn += sway_at(plan.sway.turn, t);
  const S flexion = sway_at(plan.sway.flexion, t);
  drives.flexion.left += flexion;
  drives.flexion.right += flexion;
  drives.trunk_lean += sway_at(plan.sway.lean, t);
  drives.side_lean += sway_at(plan.sway.side_lean, t);
  drives.knee_line.left += sway_at(plan.sway.knees.left, t);
  drives.knee_line.right += sway_at(plan.sway.knees.right, t);
  for (const Fidget& f : plan.fidgets) {
    const S b = bump<S>((t - S(f.start)) / S(f.duration));
    drives.hip_z += S(f.shift) * b;
    drives.pelvis_turn += S(f.turn) * b;
  }
}

/// Hip and knees from thigh travel: a planar chain ankle–knee–hip gives how far behind the ankles
/// the hips are and how flexed the knees; toe-out shortens it by its cosine.
template <class S>
void add_chain_inputs(const SetPlan& plan, Drives<S>& drives) {
  using std::cos;
  using std::sin;
  const SquatSetParams& p = plan.params;
  const S shank = S(p.posture.shank_lean) + drives.shank;
  const S thigh = S(p.posture.thigh_lean) + drives.travel;
  const S along = cos(S(0.5) * (drives.feet.left.toe_out + drives.feet.right.toe_out));
  drives.hip_x = along * (S(plan.body.shank) * sin(shank) - S(plan.body.thigh) * sin(thigh));
  const S share = drives.travel / S(deg(90.0));
  const S half = S(0.5 * p.asymmetry.flexion) * share;
  drives.flexion = {shank + thigh + half + drives.feet.left.flexion,
                    shank + thigh - half + drives.feet.right.flexion};
  drives.knee_choice = smoothstep<S>(drives.travel / S(drives.knee_within));
  drives.thigh_twist = S(p.knee_twist) * share;
  drives.hip_z = S(p.asymmetry.pelvis_shift) * share;
  drives.pelvis_turn = S(p.asymmetry.pelvis_turn) * share;
  drives.side_lean = S(p.posture.trunk_side_lean) + S(p.asymmetry.side_lean) * share;
}

template <class S>
Drives<S> drives_at(const SetPlan& plan, const S& t) {
  const SquatSetParams& p = plan.params;
  Drives<S> drives;
  drives.feet = {foot_at(plan, false, t), foot_at(plan, true, t)};
  add_excursions(plan, t, drives);
  add_chain_inputs(plan, drives);
  const S bent = drives.trunk_lean;
  add_sway(plan, t, drives);
  lift_by_flexion<S>(plan.body, drives.flexion.left, drives.feet.left);
  lift_by_flexion<S>(plan.body, drives.flexion.right, drives.feet.right);
  drives.pelvis_lean = S(p.posture.pelvis_lean) + S(p.pelvis_share) * bent;
  drives.lower_back_lean = S(p.posture.lower_back_lean) + S(0.5 + 0.5 * p.pelvis_share) * bent;
  drives.trunk_lean += S(p.posture.trunk_lean);
  return drives;
}

}  // namespace strapline::recordings::synthetic
