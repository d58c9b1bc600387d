#include "strapline/recordings/synthetic/squat_motion.hpp"

#include <cmath>

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

/// Frontal plane projection angle: hip→knee against knee→ankle, seen along the toe line.
double knee_line_angle(const Leg<double>& leg, const ToeLine& toe) {
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

}  // namespace

SquatMotion::SquatMotion(const SquatSetParams& params)
    : plan_(std::make_shared<const SetPlan>(make_plan(params))) {}

double SquatMotion::end_s() const { return plan_->end; }

const dsp::RecordingParts& SquatMotion::parts() const { return plan_->parts; }

SegmentState SquatMotion::segment(dsp::Placement placement, double t) const {
  const SegmentFrame<Jet> frame = segment_frame(*plan_, placement, drives_at(*plan_, Jet::time(t)));
  return {value_of(frame.origin), rate_of(frame.origin), second_of(frame.origin),
          value_of(frame.world_from_segment), angular_rate_world(frame.world_from_segment)};
}

LegCentres SquatMotion::leg(dsp::Side side, double t) const {
  const auto legs = both_legs(*plan_, t);
  const Leg<double>& leg = side == dsp::Side::right ? legs.right : legs.left;
  return {leg.ankle, leg.knee, leg.hip};
}

BoneMeasures SquatMotion::measures(double t) const {
  BoneMeasures out;
  const auto legs = both_legs(*plan_, t);
  measure_leg(*plan_, legs.left, false, out);
  measure_leg(*plan_, legs.right, true, out);
  const auto thorax =
      segment_frame(*plan_, {dsp::Segment::chest, dsp::Side::middle}, drives_at(*plan_, t));
  out.trunk_lean = std::atan2(thorax.world_from_segment(0, 1), thorax.world_from_segment(1, 1));
  out.range_angle = 0.5 * (out.thigh_depth.left + out.thigh_depth.right);
  return out;
}

double SquatMotion::range_rate(double t) const {
  const auto legs = both_legs(*plan_, Jet::time(t));
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
