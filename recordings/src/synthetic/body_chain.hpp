#pragma once

#include "trunk_chain.hpp"

namespace strapline::recordings::synthetic {

/// The segment's frame from the drives. `other` sits on the thorax, like the chest.
template <class S>
SegmentFrame<S> segment_frame(const SetPlan& plan, dsp::Placement placement,
                              const Drives<S>& drives) {
  using dsp::Segment;
  const bool right = placement.side == dsp::Side::right;
  if (placement.segment == Segment::foot) {
    const FootPlace<S>& foot = foot_of(drives, right);
    return {ankle_centre(plan, drives, right),
            foot_frame<S>(toe_line<S>(foot.toe_out, right), foot.heel)};
  }
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives);
  if (placement.segment == Segment::thigh || placement.segment == Segment::shank) {
    const Leg<S> leg = leg_between(plan, drives, right, right ? hips.right : hips.left);
    if (placement.segment == Segment::thigh) return {leg.hip, leg.world_from_thigh};
    return {leg.knee, leg.world_from_shank};
  }
  return upper_body_frame(plan.body, plan.params.arms, placement, drives, hips);
}

template <class S>
SidePair<Leg<S>> both_legs(const SetPlan& plan, const Drives<S>& drives) {
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives);
  return {leg_between(plan, drives, false, hips.left), leg_between(plan, drives, true, hips.right)};
}

}  // namespace strapline::recordings::synthetic
