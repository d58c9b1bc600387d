#pragma once

#include "strapline/dsp/placement.hpp"

#include "leg_chain.hpp"

namespace strapline::recordings::synthetic {

/// Z through both hip centres (to the right), tilted forwards about it; origin between them.
template <class S>
SegmentFrame<S> pelvis_frame(const BodyLengths& body, const Drives<S>& drives,
                             const SidePair<Vector3<S>>& hips) {
  using std::cos;
  using std::sin;
  using std::sqrt;
  const Vector3<S> z = (hips.right - hips.left) / S(body.hip_spacing);
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
SegmentFrame<S> lower_back_frame(const BodyLengths& body, const Drives<S>& drives,
                                 const SegmentFrame<S>& pelvis) {
  const S half(0.5);
  const Vector3<S> joint =
      pelvis.origin + pelvis.world_from_segment.col(1) * S(kPelvisShare * body.trunk);
  return {joint, upright_frame<S>(half * drives.pelvis_turn, half * drives.side_lean,
                                  drives.lower_back_lean)};
}

/// Origin at its lower end, on the lower back. Turns with the pelvis by a third.
template <class S>
SegmentFrame<S> thorax_frame(const BodyLengths& body, const Drives<S>& drives,
                             const SegmentFrame<S>& lower_back) {
  const Vector3<S> joint =
      lower_back.origin + lower_back.world_from_segment.col(1) * S(kLowerBackShare * body.trunk);
  return {joint,
          upright_frame<S>(drives.pelvis_turn / S(3.0), drives.side_lean, drives.trunk_lean)};
}

/// Shoulders' height, behind the spine for a bar, in front of the throat, or in hanging hands;
/// 0.129 of the height between shoulder and middle (Drillis & Contini, from memory).
template <class S>
SegmentFrame<S> bar_frame(const BodyLengths& body, Arms arms, const SegmentFrame<S>& thorax) {
  const double ahead = arms == Arms::holding_front ? 0.12 : -0.08;
  const Vector3<S> at(S(ahead), S(kThoraxShare * body.trunk), S(0.0));
  const Vector3<S> place = thorax.origin + thorax.world_from_segment * at;
  if (arms != Arms::hanging) return {place, thorax.world_from_segment};
  const Vector3<S> below(S(0.0), S(-(body.upper_arm + body.forearm)), S(0.0));
  return {place + below, Matrix3<S>::Identity()};
}

/// Upper arm (origin: shoulder) and forearm (origin: elbow). Hanging: the upper arm keeps plumb,
/// the elbow flexed by 10°. Holding a bar on the back or in front: fixed to the thorax, elbow
/// flexed by 120°.
template <class S>
SegmentFrame<S> arm_frame(const BodyLengths& body, Arms arms, const SegmentFrame<S>& thorax,
                          bool right, bool forearm) {
  const double side = right ? 1.0 : -1.0;
  const Vector3<S> shoulder_at(S(0.0), S(kThoraxShare * body.trunk), S(side * 0.129 * body.height));
  const Vector3<S> shoulder = thorax.origin + thorax.world_from_segment * shoulder_at;
  const bool hanging = arms == Arms::hanging;
  const Matrix3<S> held = arms == Arms::holding_front
                              ? upright_frame<S>(S(0.0), S(-side * deg(10.0)), S(deg(-75.0)))
                              : upright_frame<S>(S(0.0), S(-side * deg(40.0)), S(deg(20.0)));
  const Matrix3<S> upper =
      hanging ? Matrix3<S>(Matrix3<S>::Identity()) : Matrix3<S>(thorax.world_from_segment * held);
  if (!forearm) return {shoulder, upper};
  const Vector3<S> elbow = shoulder - upper.col(1) * S(body.upper_arm);
  // Elbow flexion lifts the wrist forwards: a positive turn about Z, to the right on both sides.
  const double flexion = hanging ? deg(10.0) : deg(120.0);
  const Matrix3<S> bent = upright_frame<S>(S(0.0), S(0.0), S(-flexion));
  return {elbow, upper * bent};
}

/// The segments from the pelvis upwards.
template <class S>
SegmentFrame<S> upper_body_frame(const BodyLengths& body, Arms arms, dsp::Placement placement,
                                 const Drives<S>& drives, const SidePair<Vector3<S>>& hips) {
  using dsp::Segment;
  const bool right = placement.side == dsp::Side::right;
  const SegmentFrame<S> pelvis = pelvis_frame(body, drives, hips);
  if (placement.segment == Segment::pelvis) return pelvis;
  const SegmentFrame<S> lower_back = lower_back_frame(body, drives, pelvis);
  if (placement.segment == Segment::lower_back) return lower_back;
  const SegmentFrame<S> thorax = thorax_frame(body, drives, lower_back);
  if (placement.segment == Segment::bar) return bar_frame(body, arms, thorax);
  if (placement.segment == Segment::upper_arm) return arm_frame(body, arms, thorax, right, false);
  if (placement.segment == Segment::forearm) return arm_frame(body, arms, thorax, right, true);
  return thorax;
}

}  // namespace strapline::recordings::synthetic
