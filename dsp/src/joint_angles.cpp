#include "strapline/dsp/joint_angles.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;

Vector3d long_axis(const Quaterniond& q) { return q * Vector3d::UnitY(); }

/// Forward turn of the distal Y against the proximal frame about the proximal Z:
/// α = atan2(Y_d·X_p, Y_d·Y_p), which is Grood & Suntay's first angle with e2 = Y_d × Z_p.
double turn_about_proximal_z(const Quaterniond& proximal, const Quaterniond& distal) {
  const Vector3d y = proximal.conjugate() * long_axis(distal);
  return std::atan2(y.x(), y.y());
}

}  // namespace

double thigh_elevation(const Quaterniond& q_world_from_thigh) {
  return std::asin(std::clamp(-long_axis(q_world_from_thigh).y(), -1.0, 1.0));
}

double knee_flexion(const Quaterniond& q_world_from_thigh, const Quaterniond& q_world_from_shank) {
  return turn_about_proximal_z(q_world_from_thigh, q_world_from_shank);
}

double hip_flexion(const Quaterniond& q_world_from_pelvis, const Quaterniond& q_world_from_thigh) {
  return -turn_about_proximal_z(q_world_from_pelvis, q_world_from_thigh);
}

double ankle_flexion(const Quaterniond& q_world_from_shank, const Quaterniond& q_world_from_foot) {
  return -turn_about_proximal_z(q_world_from_shank, q_world_from_foot);
}

double elbow_flexion(const Quaterniond& q_world_from_upper_arm,
                     const Quaterniond& q_world_from_forearm) {
  return -turn_about_proximal_z(q_world_from_upper_arm, q_world_from_forearm);
}

Vector3d to_elbow_in_trunk(const Quaterniond& q_world_from_trunk,
                           const Quaterniond& q_world_from_upper_arm) {
  return q_world_from_trunk.conjugate() * -long_axis(q_world_from_upper_arm);
}

double elbow_flare(const Vector3d& to_elbow) {
  if (std::hypot(to_elbow.y(), to_elbow.z()) < std::sin(kFlareLimit)) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  return std::atan2(std::abs(to_elbow.z()), -to_elbow.y());
}

double elbow_plane(const Vector3d& to_elbow) {
  return std::asin(std::clamp(to_elbow.x(), -1.0, 1.0));
}

double forearm_tilt(const Quaterniond& q_world_from_forearm) {
  const Vector3d y = long_axis(q_world_from_forearm);
  return std::atan2(std::hypot(y.x(), y.z()), std::abs(y.y()));
}

double body_line(const Quaterniond& q_world_from_trunk, const Quaterniond& q_world_from_thigh) {
  return -turn_about_proximal_z(q_world_from_trunk, q_world_from_thigh);
}

double back_rounding(const Quaterniond& q_world_from_upper_back,
                     const Quaterniond& q_world_from_lower_back) {
  return -turn_about_proximal_z(q_world_from_upper_back, q_world_from_lower_back);
}

double forward_lean(const Quaterniond& q_world_from_segment) {
  const Vector3d y = long_axis(q_world_from_segment);
  return std::atan2(y.x(), y.y());
}

double side_lean(const Quaterniond& q_world_from_segment) {
  const Vector3d y = long_axis(q_world_from_segment);
  return std::atan2(y.z(), y.y());
}

double inwards(double world_z, Side side) { return side == Side::right ? -world_z : world_z; }

double frontal_knee_angle(const Quaterniond& q_world_from_thigh,
                          const Quaterniond& q_world_from_shank, Side side) {
  const Vector3d thigh = -long_axis(q_world_from_thigh);
  const Vector3d shank = -long_axis(q_world_from_shank);
  if (-thigh.y() < std::sin(kProjectionLimit)) return std::numeric_limits<double>::quiet_NaN();
  return std::atan2(inwards(thigh.z(), side), -thigh.y()) -
         std::atan2(inwards(shank.z(), side), -shank.y());
}

}  // namespace strapline::dsp
