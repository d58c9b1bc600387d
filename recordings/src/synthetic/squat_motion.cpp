#include "strapline/recordings/synthetic/squat_motion.hpp"

#include <cmath>

#include "body_chain.hpp"
#include "leg_bones.hpp"
#include "param_check.hpp"

namespace strapline::recordings::synthetic {
namespace {

bool hinges(const SetPlan& plan) { return plan.params.movement == SquatMovement::hip_hinge; }

/// Mean of the sides: the thigh's depth from its side, of a hinge hip flexion.
template <class S>
S range_of(const SetPlan& plan, const S& t) {
  const Drives<S> drives = drives_at(plan, t);
  const SidePair<Vector3<S>> hips = hip_centres(plan, drives);
  const Leg<S> left = leg_between(plan, drives, false, hips.left);
  const Leg<S> right = leg_between(plan, drives, true, hips.right);
  if (!hinges(plan)) {
    return S(0.5) * (sided_depth(left) + sided_depth(right));
  }
  const Matrix3<S> pelvis = pelvis_frame(plan.body, drives, hips).world_from_segment;
  return S(0.5) * (hip_flexion(pelvis, left) + hip_flexion(pelvis, right));
}

/// Share of full flexion of the joint that pulls the skin: the knee for the leg's segments, the
/// trunk's lean (as far as the movement usually goes) for the trunk's.
Jet pull_of(const SetPlan& plan, const Drives<Jet>& drives, dsp::Placement placement) {
  const bool leg = placement.segment == dsp::Segment::thigh ||
                   placement.segment == dsp::Segment::shank ||
                   placement.segment == dsp::Segment::foot;
  // What hangs or is held is not pulled here: squats do not move the arms.
  if (placement.segment == dsp::Segment::upper_arm || placement.segment == dsp::Segment::forearm) {
    return 0.0;
  }
  if (!leg) return drives.trunk_lean / Jet(hinges(plan) ? deg(65.0) : deg(35.0));
  const bool right = placement.side == dsp::Side::right;
  return (right ? drives.flexion.right : drives.flexion.left) / Jet(deg(110.0));
}

Sides ankle_angles(const SetPlan& plan, double t) {
  const Drives<double> drives = drives_at(plan, t);
  const SidePair<Leg<double>> legs = both_legs(plan, drives);
  const auto foot = [&](dsp::Side side) {
    return segment_frame<double>(plan, {dsp::Segment::foot, side}, drives).world_from_segment;
  };
  return {ankle_angle(legs.left, foot(dsp::Side::left)),
          ankle_angle(legs.right, foot(dsp::Side::right))};
}

}  // namespace

SquatMotion::SquatMotion(const SquatSetParams& params)
    : plan_(std::make_shared<const SetPlan>(make_plan(params))),
      standing_ankles_(
          mean_over(*plan_->parts.still, [this](double t) { return ankle_angles(*plan_, t); })) {}

double SquatMotion::end_s() const { return plan_->end; }

const dsp::RecordingParts& SquatMotion::parts() const { return plan_->parts; }

const BodyLengths& SquatMotion::body() const { return plan_->body; }

std::uint64_t SquatMotion::seed() const { return plan_->params.seed; }

std::vector<Excursion> SquatMotion::excursions() const {
  return {plan_->excursions.begin(), plan_->excursions.end()};
}

std::vector<SpareTime> SquatMotion::spare_times() const {
  return spare_times_of(excursions(), plan_->before, plan_->after);
}

PosedSegment SquatMotion::pose(dsp::Placement placement, double t) const {
  const Drives<Jet> drives = drives_at(*plan_, Jet::time(t));
  return {segment_frame(*plan_, placement, drives), pull_of(*plan_, drives, placement)};
}

LegCentres SquatMotion::leg(dsp::Side side, double t) const {
  const auto legs = both_legs(*plan_, drives_at(*plan_, t));
  const Leg<double>& leg = side == dsp::Side::right ? legs.right : legs.left;
  return {leg.ankle, leg.knee, leg.hip};
}

BoneMeasures SquatMotion::measures(double t) const {
  BoneMeasures out;
  const Drives<double> drives = drives_at(*plan_, t);
  const auto legs = both_legs(*plan_, drives);
  measure_leg(plan_->body, toe_line(drives.feet.left.toe_out, false), legs.left, false, out);
  measure_leg(plan_->body, toe_line(drives.feet.right.toe_out, true), legs.right, true, out);
  const Sides ankles = ankle_angles(*plan_, t);
  out.ankle_flexion = {ankles.left - standing_ankles_.left, ankles.right - standing_ankles_.right};
  const auto frame = [&](dsp::Segment segment) {
    return segment_frame(*plan_, {segment, dsp::Side::middle}, drives).world_from_segment;
  };
  const StandingPosture& standing = plan_->params.posture;
  measure_trunk(
      {frame(dsp::Segment::pelvis), frame(dsp::Segment::lower_back), frame(dsp::Segment::chest)},
      standing.trunk_lean - standing.lower_back_lean, legs, out);
  out.range_angle = range_of<double>(*plan_, t);
  return out;
}

std::string_view SquatMotion::range_name() const {
  return hinges(*plan_) ? "hip_flexion" : "thigh_depth";
}

double SquatMotion::range_angle(double t, dsp::Side) const { return range_of<double>(*plan_, t); }

std::vector<BoneValue> SquatMotion::bones(double t) const { return bone_values(measures(t)); }

std::map<std::string, std::vector<double>> SquatMotion::set_up() const {
  const Stance& stance = plan_->params.stance;
  const Restance& anew = plan_->params.restance;
  return {{"/body_m/ankle_spacing", {stance.ankle_spacing}},
          {"/toe_out_changed_deg", {anew.toe_out.left / deg(1.0), anew.toe_out.right / deg(1.0)}},
          {"/toe_out_deg", {stance.toe_out.left / deg(1.0), stance.toe_out.right / deg(1.0)}}};
}

double SquatMotion::range_rate(double t, dsp::Side) const {
  return range_of<Jet>(*plan_, Jet::time(t)).d;
}

dsp::Result<SquatMotion> make_motion(const SquatSetParams& params) {
  if (auto checked = check_params(params); !checked) return tl::make_unexpected(checked.error());
  SquatMotion motion(params);
  if (auto checked = check_reach(motion.plan()); !checked) {
    return tl::make_unexpected(checked.error());
  }
  return motion;
}

}  // namespace strapline::recordings::synthetic
