#include "leg_bones.hpp"

#include <cmath>
#include <limits>

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
double knee_line_angle(const Leg<double>& leg, const ToeLine<double>& toe) {
  const Eigen::Vector3d thigh = (leg.knee - leg.hip).normalized();
  if (-thigh.y() < std::sin(kFrontalLimit)) return std::numeric_limits<double>::quiet_NaN();
  const auto inclination = [&](const Eigen::Vector3d& down) {
    return std::atan2(toe.inwards.dot(down), -down.y());
  };
  return inclination(leg.knee - leg.hip) - inclination(leg.ankle - leg.knee);
}

double forward_lean(const Eigen::Matrix3d& world_from_segment) {
  return std::atan2(world_from_segment(0, 1), world_from_segment(1, 1));
}

}  // namespace

double ankle_angle(const Leg<double>& leg, const Eigen::Matrix3d& world_from_foot) {
  const Eigen::Vector3d foot_y = leg.world_from_shank.transpose() * world_from_foot.col(1);
  return -std::atan2(foot_y.x(), foot_y.y());  // toes up: about the shank's Z
}

Sides mean_over(const dsp::Interval& part, const std::function<Sides(double)>& angle) {
  constexpr double kStep = 0.05;  // s
  Sides mean;
  double count = 0.0;
  for (double t = part.from_s; t <= part.to_s; t += kStep, count += 1.0) {
    const Sides now = angle(t);
    mean.left += now.left;
    mean.right += now.right;
  }
  return {mean.left / count, mean.right / count};
}

void measure_leg(const BodyLengths& body, const ToeLine<double>& toe, const Leg<double>& leg,
                 bool right, BoneMeasures& out) {
  const auto put = [right](Sides& sides, double value) {
    (right ? sides.right : sides.left) = value;
  };
  const Eigen::Vector3d ankle_to_knee = leg.knee - leg.ankle;
  const double toe_tip = body.foot - body.ankle_from_heel;
  put(out.thigh_depth, thigh_depth(body, leg));
  put(out.knee_flexion, knee_flexion(leg));
  put(out.knee_line_distance, toe.inwards.dot(ankle_to_knee));
  put(out.knee_line_angle, knee_line_angle(leg, toe));
  put(out.knee_travel, toe.along.dot(ankle_to_knee) - toe_tip);
}

void measure_trunk(const TrunkFrames& trunk, double standing_rounding,
                   const SidePair<Leg<double>>& legs, BoneMeasures& out) {
  out.hip_flexion = {hip_flexion(trunk.pelvis, legs.left), hip_flexion(trunk.pelvis, legs.right)};
  const Eigen::Vector3d up = trunk.thorax.col(1);
  out.trunk_lean = forward_lean(trunk.thorax);
  out.trunk_side_lean = std::atan2(up.z(), up.y());
  out.back_rounding =
      -forward_lean(trunk.thorax.transpose() * trunk.lower_back) - standing_rounding;
}

std::vector<BoneValue> bone_values(const BoneMeasures& m) {
  std::vector<BoneValue> values;
  const auto add = [&](std::string_view base, const Sides& sides, dsp::Unit unit) {
    values.push_back({base, dsp::Side::left, sides.left, unit});
    values.push_back({base, dsp::Side::right, sides.right, unit});
  };
  add("thigh_depth", m.thigh_depth, dsp::Unit::radian);
  add("knee_flexion", m.knee_flexion, dsp::Unit::radian);
  add("hip_flexion", m.hip_flexion, dsp::Unit::radian);
  add("ankle_flexion", m.ankle_flexion, dsp::Unit::radian);
  add("knee_line_distance", m.knee_line_distance, dsp::Unit::metre);
  add("knee_line_angle", m.knee_line_angle, dsp::Unit::radian);
  add("knee_travel", m.knee_travel, dsp::Unit::metre);
  const auto add_trunk = [&](std::string_view base, double value) {
    values.push_back({base, dsp::Side::middle, value, dsp::Unit::radian});
  };
  add_trunk("trunk_lean", m.trunk_lean);
  add_trunk("trunk_side_lean", m.trunk_side_lean);
  add_trunk("back_rounding", m.back_rounding);
  return values;
}

}  // namespace strapline::recordings::synthetic
