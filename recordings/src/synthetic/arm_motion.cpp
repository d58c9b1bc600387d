#include "strapline/recordings/synthetic/arm_motion.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "arm_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;

/// The upper arm's projection on the chest's front is shorter than this share of it when it points
/// straight out of the chest: no elbow flare there. The analysis's own limit (20°).
constexpr double kFlareLimit = 0.342;

SegmentFrame<Jet> frame_of(const ArmPlan& plan, const ArmPose<Jet>& pose,
                           dsp::Placement placement) {
  const bool right = placement.side == dsp::Side::right;
  const BodyLengths& body = plan.body;
  const Matrix3<Jet>& trunk = pose.trunk.world_from_trunk;
  const Matrix3<Jet>& upper = right ? pose.upper_arm.right : pose.upper_arm.left;
  const Vector3<Jet> hip = pose.hip + trunk.col(2) * Jet((right ? 0.5 : -0.5) * body.hip_spacing);
  switch (placement.segment) {
    case Segment::thigh:
      return {hip, pose.world_from_thigh};
    case Segment::shank:
      return {hip - pose.world_from_thigh.col(1) * Jet(body.thigh), pose.world_from_thigh};
    case Segment::upper_arm:
      return {shoulder_centre(plan, pose.trunk, right), upper};
    case Segment::forearm:
      return {shoulder_centre(plan, pose.trunk, right) - upper.col(1) * Jet(body.upper_arm),
              right ? pose.forearm.right : pose.forearm.left};
    case Segment::pelvis:
    case Segment::lower_back:
      return {pose.hip, pose.world_from_lower_back};
    default:
      return {pose.trunk.shoulders - trunk.col(1) * Jet(kThoraxUp * body.trunk), trunk};
  }
}

/// Skin follows the elbow; the trunk's and the thighs' only in the set.
Jet pull_of(const ArmDrives<Jet>& drives, dsp::Placement placement) {
  const Jet share(1.0 / deg(110.0));
  if (placement.segment == Segment::upper_arm || placement.segment == Segment::forearm) {
    return share *
           (placement.side == dsp::Side::right ? drives.flexion.right : drives.flexion.left);
  }
  return share * drives.placed * drives.mean_flexion;
}

/// shoulder→elbow against the trunk's −Y without its part along the trunk's X.
double elbow_flare(const Eigen::Vector3d& to_elbow) {
  if (std::hypot(to_elbow.y(), to_elbow.z()) < kFlareLimit) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  return std::atan2(std::abs(to_elbow.z()), -to_elbow.y());
}

double sagittal_turn(const Eigen::Vector3d& axis) { return std::atan2(axis.x(), axis.y()); }

void add_arm(const ArmPose<double>& pose, dsp::Side side, std::vector<BoneValue>& out) {
  const bool right = side == dsp::Side::right;
  const Eigen::Matrix3d& upper = right ? pose.upper_arm.right : pose.upper_arm.left;
  const Eigen::Matrix3d& fore = right ? pose.forearm.right : pose.forearm.left;
  const Eigen::Vector3d to_elbow = pose.trunk.world_from_trunk.transpose() * -upper.col(1);
  out.push_back({"elbow_flexion", side, -sagittal_turn(upper.transpose() * fore.col(1))});
  out.push_back({"elbow_flare", side, elbow_flare(to_elbow)});
  out.push_back({"elbow_plane", side, std::asin(to_elbow.x())});
  out.push_back({"forearm_tilt", side, std::acos(std::min(1.0, std::abs(fore(1, 1))))});
}

}  // namespace

ArmMotion::ArmMotion(const ArmSetParams& params)
    : plan_(std::make_shared<const ArmPlan>(make_plan(params))) {}

double ArmMotion::end_s() const { return plan_->end; }

const dsp::RecordingParts& ArmMotion::parts() const { return plan_->parts; }

const BodyLengths& ArmMotion::body() const { return plan_->body; }

std::uint64_t ArmMotion::seed() const { return plan_->params.seed; }

std::vector<Excursion> ArmMotion::excursions() const {
  std::vector<Excursion> all(plan_->bends);
  all.insert(all.end(), plan_->raises.begin(), plan_->raises.end());
  all.insert(all.end(), plan_->bows.begin(), plan_->bows.end());
  all.insert(all.end(), plan_->reps.begin(), plan_->reps.end());
  return all;
}

std::vector<SpareTime> ArmMotion::spare_times() const {
  return spare_times_of(excursions(), plan_->before, plan_->after);
}

PosedSegment ArmMotion::pose(dsp::Placement placement, double t) const {
  const ArmDrives<Jet> drives = arm_drives_at(*plan_, Jet::time(t));
  return {frame_of(*plan_, arm_pose(*plan_, drives), placement), pull_of(drives, placement)};
}

PosedSegment ArmMotion::hips(double t) const {
  return pose({Segment::pelvis, dsp::Side::middle}, t);  // begins between them
}

bool ArmMotion::has(Segment segment) const {
  return segment != Segment::foot && segment != Segment::bar;
}

std::string_view ArmMotion::range_name() const {
  return plan_->setting.extends ? "elbow_extension" : "elbow_flexion";
}

bool ArmMotion::lowers_first() const { return plan_->setting.lowers_first; }

double ArmMotion::range_angle(double t, dsp::Side) const {
  const ArmDrives<double> drives = arm_drives_at(*plan_, t);
  return (plan_->setting.extends ? -0.5 : 0.5) * (drives.flexion.left + drives.flexion.right);
}

double ArmMotion::range_rate(double t, dsp::Side) const {
  const ArmDrives<Jet> drives = arm_drives_at(*plan_, Jet::time(t));
  return (plan_->setting.extends ? -0.5 : 0.5) * (drives.flexion.left.d + drives.flexion.right.d);
}

std::vector<BoneValue> ArmMotion::bones(double t) const {
  const ArmPose<double> pose = arm_pose(*plan_, arm_drives_at(*plan_, t));
  const Eigen::Matrix3d& trunk = pose.trunk.world_from_trunk;
  std::vector<BoneValue> values;
  add_arm(pose, dsp::Side::left, values);
  add_arm(pose, dsp::Side::right, values);
  const Eigen::Vector3d y = trunk.col(1);
  const double rounding = -sagittal_turn(trunk.transpose() * pose.world_from_lower_back.col(1)) -
                          plan_->params.standing.back_rounding;
  values.push_back({"trunk_lean", dsp::Side::middle, std::atan2(y.x(), y.y())});
  values.push_back({"trunk_side_lean", dsp::Side::middle, std::atan2(y.z(), y.y())});
  values.push_back({"back_rounding", dsp::Side::middle, rounding});
  values.push_back({"body_line", dsp::Side::middle,
                    -sagittal_turn(trunk.transpose() * pose.world_from_thigh.col(1))});
  return values;
}

std::map<std::string, std::vector<double>> ArmMotion::set_up() const {
  const ArmParts& parts = plan_->params.parts;
  return {{"/hand_width", {plan_->params.hand_width}},
          {"/raise_plane_deg",
           {parts.raise_plane.left / deg(1.0), parts.raise_plane.right / deg(1.0)}}};
}

dsp::Result<ArmMotion> make_motion(const ArmSetParams& params) {
  if (auto checked = check_params(params); !checked) return tl::make_unexpected(checked.error());
  ArmMotion motion(params);
  constexpr double kStep = 0.05;  // s; profiles change slowly against it
  for (double t = 0.0; t < motion.end_s(); t += kStep) {
    const ArmPose<double> pose = arm_pose(motion.plan(), arm_drives_at(motion.plan(), t));
    const bool reached = pose.trunk.shoulders.allFinite() && pose.upper_arm.left.allFinite() &&
                         pose.upper_arm.right.allFinite();
    if (reached) continue;
    return dsp::fail("the hands cannot stay where they are", fmt::format("second {:.2f}", t),
                     "choose less elbow flexion, a narrower grip or another body line");
  }
  return motion;
}

}  // namespace strapline::recordings::synthetic
