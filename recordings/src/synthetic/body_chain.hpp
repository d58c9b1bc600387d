#pragma once

#include "strapline/dsp/placement.hpp"

#include "trunk_chain.hpp"

namespace strapline::recordings::synthetic {

/// The segment's frame from the drives. `other` sits on the thorax, like the chest.
template <class S>
SegmentFrame<S> segment_frame(const SetPlan& plan, dsp::Placement placement,
                              const Drives<S>& drives) {
  using dsp::Segment;
  const bool right = placement.side == dsp::Side::right;
  if (placement.segment == Segment::foot) {
    const ToeLine line = toe_line(plan.params.stance, right);
    Eigen::Matrix3d frame;
    frame << line.along, Eigen::Vector3d::UnitY(), line.along.cross(Eigen::Vector3d::UnitY());
    return {ankle_centre(plan, right).template cast<S>(), frame.template cast<S>()};
  }
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives);
  if (placement.segment == Segment::thigh || placement.segment == Segment::shank) {
    const Leg<S> leg = leg_between(plan, drives, right, right ? hips.right : hips.left);
    if (placement.segment == Segment::thigh) return {leg.hip, leg.world_from_thigh};
    return {leg.knee, leg.world_from_shank};
  }
  const SegmentFrame<S> pelvis = pelvis_frame(plan, drives, hips);
  if (placement.segment == Segment::pelvis) return pelvis;
  const SegmentFrame<S> lower_back = lower_back_frame(plan, drives, pelvis);
  if (placement.segment == Segment::lower_back) return lower_back;
  const SegmentFrame<S> thorax = thorax_frame(plan, drives, lower_back);
  if (placement.segment == Segment::bar) return bar_frame(plan, thorax);
  if (placement.segment == Segment::upper_arm) return arm_frame(plan, thorax, right, false);
  if (placement.segment == Segment::forearm) return arm_frame(plan, thorax, right, true);
  return thorax;
}

template <class S>
SidePair<Leg<S>> both_legs(const SetPlan& plan, const S& t) {
  const Drives<S> drives = drives_at(plan, t);
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives);
  return {leg_between(plan, drives, false, hips.left), leg_between(plan, drives, true, hips.right)};
}

/// Angular rate in world axes, from Ṙ = [ω]× R.
inline Eigen::Vector3d angular_rate_world(const Matrix3<Jet>& rotation) {
  Eigen::Matrix3d value;
  Eigen::Matrix3d rate;
  for (int i = 0; i < 9; ++i) {
    value.data()[i] = rotation.data()[i].v;
    rate.data()[i] = rotation.data()[i].d;
  }
  const Eigen::Matrix3d skew = rate * value.transpose();
  return {0.5 * (skew(2, 1) - skew(1, 2)), 0.5 * (skew(0, 2) - skew(2, 0)),
          0.5 * (skew(1, 0) - skew(0, 1))};
}

inline Eigen::Matrix3d value_of(const Matrix3<Jet>& m) {
  return m.unaryExpr([](const Jet& x) { return x.v; });
}
inline Eigen::Vector3d value_of(const Vector3<Jet>& m) { return {m[0].v, m[1].v, m[2].v}; }
inline Eigen::Vector3d rate_of(const Vector3<Jet>& m) { return {m[0].d, m[1].d, m[2].d}; }
inline Eigen::Vector3d second_of(const Vector3<Jet>& m) { return {m[0].dd, m[1].dd, m[2].dd}; }

}  // namespace strapline::recordings::synthetic
