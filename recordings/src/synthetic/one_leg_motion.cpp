#include "strapline/recordings/synthetic/one_leg_motion.hpp"

#include <fmt/format.h>

#include "leg_bones.hpp"
#include "one_leg_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;
using dsp::Side;

bool of_the_leg(Segment segment) {
  return segment == Segment::thigh || segment == Segment::shank || segment == Segment::foot;
}

template <class S>
Matrix3<S> foot_of(const OneLegPlan& plan, const OneLegDrives<S>& drives, bool right) {
  const ToeLine<double> line = toe_line_of(plan, right);
  return foot_frame<S>({line.along.cast<S>(), line.inwards.cast<S>()}, pick(drives.heel, right));
}

SegmentFrame<Jet> frame_of(const OneLegPlan& plan, const OneLegDrives<Jet>& drives, const Jet& t,
                           dsp::Placement placement) {
  const SidePair<Vector3<Jet>> hips = hip_centres(plan, drives, t.v);
  const bool right = placement.side == Side::right;
  if (!of_the_leg(placement.segment)) {
    return upper_body_frame(plan.body, Arms::hanging, placement, drives.body, hips);
  }
  const Leg<Jet> leg = leg_of(plan, drives, right, t, pick(hips, right));
  if (placement.segment == Segment::foot) return {leg.ankle, foot_of(plan, drives, right)};
  if (placement.segment == Segment::thigh) return {leg.hip, leg.world_from_thigh};
  return {leg.knee, leg.world_from_shank};
}

/// As in squats: the knee pulls the leg's skin, the trunk's lean the trunk's.
Jet pull_of(const OneLegPlan& plan, const OneLegDrives<Jet>& drives, dsp::Placement placement) {
  if (placement.segment == Segment::upper_arm || placement.segment == Segment::forearm) return 0.0;
  if (!of_the_leg(placement.segment)) {
    return drives.body.trunk_lean / Jet(deg(60.0));
  }
  const bool right = placement.side == Side::right;
  const LegRole<Jet>& works = pick(drives.working, right);
  const LegRole<Jet>& other = pick(drives.other, right);
  const Jet flexion = Jet(plan.standing.thigh + plan.standing.shank) + works.thigh + works.shank +
                      other.thigh + other.shank;
  return flexion / Jet(deg(110.0));
}

template <class S>
S depth_at(const OneLegPlan& plan, const S& t, Side side) {
  const SidePair<Leg<S>> legs = both_legs(plan, drives_at(plan, t), t);
  const S left = sided_depth(legs.left);
  const S right = sided_depth(legs.right);
  if (side != Side::middle) return side == Side::left ? left : right;
  return value_of(left) > value_of(right) ? left : right;  // whichever is further ahead
}

Sides ankle_angles(const OneLegPlan& plan, double t) {
  const OneLegDrives<double> drives = drives_at(plan, t);
  const SidePair<Leg<double>> legs = both_legs(plan, drives, t);
  return {ankle_angle(legs.left, foot_of(plan, drives, false)),
          ankle_angle(legs.right, foot_of(plan, drives, true))};
}

}  // namespace

OneLegMotion::OneLegMotion(const OneLegSetParams& params)
    : plan_(std::make_shared<const OneLegPlan>(make_plan(params))),
      standing_ankles_(
          mean_over(*plan_->parts.still, [this](double t) { return ankle_angles(*plan_, t); })) {}

double OneLegMotion::end_s() const { return plan_->end; }

const dsp::RecordingParts& OneLegMotion::parts() const { return plan_->parts; }

const BodyLengths& OneLegMotion::body() const { return plan_->body; }

std::uint64_t OneLegMotion::seed() const { return plan_->params.seed; }

std::vector<Excursion> OneLegMotion::excursions() const {
  return {plan_->excursions.begin(), plan_->excursions.end()};
}

std::vector<SpareTime> OneLegMotion::spare_times() const {
  return spare_times_of(excursions(), plan_->before, plan_->after);
}

PosedSegment OneLegMotion::pose(dsp::Placement placement, double t) const {
  const Jet time = Jet::time(t);
  const OneLegDrives<Jet> drives = drives_at(*plan_, time);
  return {frame_of(*plan_, drives, time, placement), pull_of(*plan_, drives, placement)};
}

double OneLegMotion::range_angle(double t, Side side) const {
  return depth_at<double>(*plan_, t, side);
}

double OneLegMotion::range_rate(double t, Side side) const {
  return depth_at<Jet>(*plan_, Jet::time(t), side).d;
}

std::vector<BoneValue> OneLegMotion::bones(double t) const {
  const OneLegDrives<double> drives = drives_at(*plan_, t);
  const SidePair<Leg<double>> legs = both_legs(*plan_, drives, t);
  BoneMeasures out;
  measure_leg(plan_->body, toe_line_of(*plan_, false), legs.left, false, out);
  measure_leg(plan_->body, toe_line_of(*plan_, true), legs.right, true, out);
  const Sides ankles = ankle_angles(*plan_, t);
  out.ankle_flexion = {ankles.left - standing_ankles_.left, ankles.right - standing_ankles_.right};
  const SidePair<Vector3<double>> hips{legs.left.hip, legs.right.hip};
  const auto frame = [&](Segment segment) {
    return upper_body_frame<double>(plan_->body, Arms::hanging, {segment, Side::middle},
                                    drives.body, hips)
        .world_from_segment;
  };
  const StandingPosture& standing = plan_->params.posture;
  measure_trunk({frame(Segment::pelvis), frame(Segment::lower_back), frame(Segment::chest)},
                standing.trunk_lean - standing.lower_back_lean, legs, out);
  return bone_values(out);
}

std::map<std::string, std::vector<double>> OneLegMotion::set_up() const {
  const OneLegSetParams& p = plan_->params;
  return {{"/step_m", {p.step}},
          {"/box_m", {p.box}},
          {"/toe_out_deg", {p.toe_out.left / deg(1.0), p.toe_out.right / deg(1.0)}}};
}

dsp::Result<OneLegMotion> make_motion(const OneLegSetParams& params) {
  if (auto checked = check_params(params); !checked) return tl::make_unexpected(checked.error());
  OneLegMotion motion(params);
  constexpr double kStep = 0.05;  // s; profiles change slowly against it
  for (double t = 0.0; t < motion.end_s(); t += kStep) {
    const auto legs = both_legs(motion.plan(), drives_at(motion.plan(), t), t);
    if (legs.left.knee.allFinite() && legs.right.knee.allFinite()) continue;
    return dsp::fail("a leg cannot reach its knee line", fmt::format("second {:.2f}", t),
                     "choose a knee line nearer to 0 or another step");
  }
  return motion;
}

}  // namespace strapline::recordings::synthetic
