#include "strapline/recordings/synthetic/squat_motion.hpp"

#include <cmath>
#include <limits>

#include "body_chain.hpp"
#include "param_check.hpp"

namespace strapline::recordings::synthetic {
namespace {

/// Grood & Suntay 1983, doi 10.1115/1.3138397, in the ISB axes: the turn of the shank about the
/// thigh's Z. With thighᵀ·shank = Rz(a)·Rx(b)·Ry(c) (fixed, floating, moving axis) the shank's Y in
/// the thigh is (−sin a cos b, cos a cos b, sin b); a bent knee tips it forwards (a < 0), and
/// flexion counts that positive.
double knee_flexion(const Leg<double>& leg) {
  const Eigen::Vector3d shank_y = leg.world_from_thigh.transpose() * leg.world_from_shank.col(1);
  return std::atan2(shank_y.x(), shank_y.y());
}

/// Grood & Suntay likewise, of the thigh about the pelvis's Z: flexion brings the knee forwards, a
/// > 0.
double hip_flexion(const Eigen::Matrix3d& world_from_pelvis, const Leg<double>& leg) {
  const Eigen::Vector3d thigh_y = world_from_pelvis.transpose() * leg.world_from_thigh.col(1);
  return std::atan2(-thigh_y.x(), thigh_y.y());
}

/// Frontal plane projection angle: hip→knee against knee→ankle, seen along the toe line.
double knee_line_angle(const Leg<double>& leg, const ToeLine& toe) {
  const Eigen::Vector3d thigh = (leg.knee - leg.hip).normalized();
  if (-thigh.y() < std::sin(kFrontalLimit)) return std::numeric_limits<double>::quiet_NaN();
  const auto inclination = [&](const Eigen::Vector3d& down) {
    return std::atan2(toe.inwards.dot(down), -down.y());
  };
  return inclination(leg.knee - leg.hip) - inclination(leg.ankle - leg.knee);
}

void measure_leg(const SetPlan& plan, const Leg<double>& leg, bool right, BoneMeasures& out) {
  const auto put = [right](Sides& sides, double value) {
    (right ? sides.right : sides.left) = value;
  };
  const ToeLine toe = toe_line(plan.params.stance, right);
  const Eigen::Vector3d ankle_to_knee = leg.knee - leg.ankle;
  const double toe_tip = plan.body.foot - plan.body.ankle_from_heel;
  put(out.thigh_depth, thigh_depth(plan, leg));
  put(out.knee_flexion, knee_flexion(leg));
  put(out.knee_line_distance, toe.inwards.dot(ankle_to_knee));
  put(out.knee_line_angle, knee_line_angle(leg, toe));
  put(out.knee_travel, toe.along.dot(ankle_to_knee) - toe_tip);
}

/// Share of full flexion of the joint that pulls the skin: the knee for the leg's segments, the
/// trunk's lean for the trunk's.
Jet pull_of(const Drives<Jet>& drives, dsp::Placement placement) {
  const bool leg =
      placement.segment == dsp::Segment::thigh || placement.segment == dsp::Segment::shank;
  // What hangs or is held is not pulled here: squats do not move the arms.
  if (placement.segment == dsp::Segment::upper_arm || placement.segment == dsp::Segment::forearm) {
    return 0.0;
  }
  if (!leg) return drives.trunk_lean / Jet(deg(60.0));
  const bool right = placement.side == dsp::Side::right;
  return (right ? drives.flexion.right : drives.flexion.left) / Jet(deg(110.0));
}

}  // namespace

SquatMotion::SquatMotion(const SquatSetParams& params)
    : plan_(std::make_shared<const SetPlan>(make_plan(params))) {}

double SquatMotion::end_s() const { return plan_->end; }

const dsp::RecordingParts& SquatMotion::parts() const { return plan_->parts; }

const BodyLengths& SquatMotion::body() const { return plan_->body; }

std::uint64_t SquatMotion::seed() const { return plan_->params.seed; }

std::vector<Excursion> SquatMotion::excursions() const {
  return {plan_->excursions.begin(), plan_->excursions.end()};
}

PosedSegment SquatMotion::pose(dsp::Placement placement, double t) const {
  const Drives<Jet> drives = drives_at(*plan_, Jet::time(t));
  return {segment_frame(*plan_, placement, drives), pull_of(drives, placement)};
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
  measure_leg(*plan_, legs.left, false, out);
  measure_leg(*plan_, legs.right, true, out);
  const auto frame = [&](dsp::Segment segment) {
    return segment_frame(*plan_, {segment, dsp::Side::middle}, drives).world_from_segment;
  };
  const Eigen::Matrix3d pelvis = frame(dsp::Segment::pelvis);
  out.hip_flexion = {hip_flexion(pelvis, legs.left), hip_flexion(pelvis, legs.right)};
  const Eigen::Vector3d trunk_y = frame(dsp::Segment::chest).col(1);
  out.trunk_lean = std::atan2(trunk_y.x(), trunk_y.y());
  out.trunk_side_lean = std::atan2(trunk_y.z(), trunk_y.y());
  out.range_angle = 0.5 * (out.thigh_depth.left + out.thigh_depth.right);
  return out;
}

double SquatMotion::range_angle(double t) const {
  const auto legs = both_legs(*plan_, drives_at(*plan_, t));
  return 0.5 * (thigh_depth(*plan_, legs.left) + thigh_depth(*plan_, legs.right));
}

std::vector<BoneValue> SquatMotion::bones(double t) const {
  const BoneMeasures m = measures(t);
  std::vector<BoneValue> values;
  const auto add = [&](std::string_view base, const Sides& sides, dsp::Unit unit) {
    values.push_back({base, dsp::Side::left, sides.left, unit});
    values.push_back({base, dsp::Side::right, sides.right, unit});
  };
  add("thigh_depth", m.thigh_depth, dsp::Unit::radian);
  add("knee_flexion", m.knee_flexion, dsp::Unit::radian);
  add("hip_flexion", m.hip_flexion, dsp::Unit::radian);
  add("knee_line_distance", m.knee_line_distance, dsp::Unit::metre);
  add("knee_line_angle", m.knee_line_angle, dsp::Unit::radian);
  add("knee_travel", m.knee_travel, dsp::Unit::metre);
  values.push_back({"trunk_lean", dsp::Side::middle, m.trunk_lean, dsp::Unit::radian});
  values.push_back({"trunk_side_lean", dsp::Side::middle, m.trunk_side_lean, dsp::Unit::radian});
  return values;
}

std::map<std::string, std::vector<double>> SquatMotion::set_up() const {
  const Stance& stance = plan_->params.stance;
  return {{"/body_m/ankle_spacing", {stance.ankle_spacing}},
          {"/toe_out_deg", {stance.toe_out.left / deg(1.0), stance.toe_out.right / deg(1.0)}}};
}

double SquatMotion::range_rate(double t) const {
  const auto legs = both_legs(*plan_, drives_at(*plan_, Jet::time(t)));
  return 0.5 * (thigh_depth(*plan_, legs.left).d + thigh_depth(*plan_, legs.right).d);
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
