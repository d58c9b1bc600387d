#pragma once

#include "leg_chain.hpp"

namespace strapline::recordings::synthetic {

/// Z through both hip centres (to the right), tilted forwards about it; origin between them.
template <class S>
SegmentFrame<S> pelvis_frame(const SetPlan& plan, const Drives<S>& drives,
                             const SidePair<Vector3<S>>& hips) {
  using std::cos;
  using std::sin;
  using std::sqrt;
  const Vector3<S> z = (hips.right - hips.left) / S(plan.body.hip_spacing);
  const S level = sqrt(z.x() * z.x() + z.z() * z.z());
  const Vector3<S> x0(z.z() / level, S(0.0), -z.x() / level);  // world Y × z, normalised
  const Vector3<S> y0 = z.cross(x0);
  const S c = cos(drives.pelvis_lean);
  const S s = sin(drives.pelvis_lean);
  return {(hips.left + hips.right) * S(0.5), frame_from_y_z<S>(y0 * c + x0 * s, z)};
}

/// Shares of the hip–shoulder length (0.288 of the height): hips to lumbosacral joint, lower
/// back, thorax up to the shoulders. Round figures of ours; they only set the straps' lever arms.
inline constexpr double kPelvisShare = 0.18;
inline constexpr double kLowerBackShare = 0.34;
inline constexpr double kThoraxShare = 0.48;

/// Origin at the lumbosacral joint.
template <class S>
SegmentFrame<S> lower_back_frame(const SetPlan& plan, const Drives<S>& drives,
                                 const SegmentFrame<S>& pelvis) {
  const S half(0.5);
  const Vector3<S> joint =
      pelvis.origin + pelvis.world_from_segment.col(1) * S(kPelvisShare * plan.body.trunk);
  return {joint, upright_frame<S>(half * drives.pelvis_turn, half * drives.side_lean,
                                  drives.lower_back_lean)};
}

/// Origin at its lower end, on the lower back. Turns with the pelvis by a third.
template <class S>
SegmentFrame<S> thorax_frame(const SetPlan& plan, const Drives<S>& drives,
                             const SegmentFrame<S>& lower_back) {
  const Vector3<S> joint = lower_back.origin + lower_back.world_from_segment.col(1) *
                                                   S(kLowerBackShare * plan.body.trunk);
  return {joint,
          upright_frame<S>(drives.pelvis_turn / S(3.0), drives.side_lean, drives.trunk_lean)};
}

/// Shoulders' height, behind the spine for a bar; 0.129 of the height between shoulder and middle
/// (Drillis & Contini, from memory).
template <class S>
SegmentFrame<S> bar_frame(const SetPlan& plan, const SegmentFrame<S>& thorax) {
  const Vector3<S> at(S(-0.08), S(kThoraxShare * plan.body.trunk), S(0.0));
  return {thorax.origin + thorax.world_from_segment * at, thorax.world_from_segment};
}

/// Upper arm (origin: shoulder) and forearm (origin: elbow). Hanging: the upper arm keeps plumb,
/// the elbow flexed by 10°. Holding a bar on the back: fixed to the thorax, elbow flexed by 120°.
template <class S>
SegmentFrame<S> arm_frame(const SetPlan& plan, const SegmentFrame<S>& thorax, bool right,
                          bool forearm) {
  const double side = right ? 1.0 : -1.0;
  const Vector3<S> shoulder_at(S(0.0), S(kThoraxShare * plan.body.trunk),
                               S(side * 0.129 * plan.body.height));
  const Vector3<S> shoulder = thorax.origin + thorax.world_from_segment * shoulder_at;
  const bool hanging = plan.params.arms == Arms::hanging;
  const Matrix3<S> abducted = upright_frame<S>(S(0.0), S(-side * deg(40.0)), S(deg(20.0)));
  const Matrix3<S> upper = hanging ? Matrix3<S>(Matrix3<S>::Identity())
                                   : Matrix3<S>(thorax.world_from_segment * abducted);
  if (!forearm) return {shoulder, upper};
  const Vector3<S> elbow = shoulder - upper.col(1) * S(plan.body.upper_arm);
  // Elbow flexion lifts the wrist forwards: a positive turn about Z, to the right on both sides.
  const double flexion = hanging ? deg(10.0) : deg(120.0);
  const Matrix3<S> bent = upright_frame<S>(S(0.0), S(0.0), S(-flexion));
  return {elbow, upper * bent};
}

}  // namespace strapline::recordings::synthetic
