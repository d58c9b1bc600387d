#pragma once

#include <vector>

#include "strapline/recordings/synthetic/body_motion.hpp"
#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/strap_setup.hpp"

namespace strapline::recordings::synthetic {

/// Where a strap sits on its segment, and how skin carries it; drawn once per strap.
struct StrapMount {
  dsp::Placement placement;
  Eigen::Matrix3d segment_from_sensor = Eigen::Matrix3d::Identity();
  Eigen::Vector3d lever = Eigen::Vector3d::Zero();  ///< m, from the segment's upper joint
  double tilt = 0.0, twist = 0.0;                   ///< rad
  Eigen::Vector3d wobble_axis = Eigen::Vector3d::UnitX();
  double wobble = 0.0;                              ///< rad at full flexion
  Eigen::Vector3d shift = Eigen::Vector3d::Zero();  ///< m at full flexion
  Eigen::Vector3d ringing_axis = Eigen::Vector3d::UnitX();
  Eigen::Vector3d ringing_direction = Eigen::Vector3d::UnitX();
  double ringing = 0.0;        ///< rad, first swing
  double ringing_shift = 0.0;  ///< m, first swing
  double ringing_rate = 0.0;   ///< rad/s
  double ringing_decay = 0.0;  ///< 1/s
};

[[nodiscard]] StrapMount draw_mount(const BodyMotion& motion, dsp::Placement placement,
                                    const StrapSetup& setup, Random& random);

/// What an ideal sensor at the strap feels at one time.
struct StrapState {
  Eigen::Vector3d specific_force;  ///< m/s², sensor axes; +g upwards at rest
  Eigen::Vector3d angular_rate;    ///< rad/s, sensor axes
  Eigen::Vector3d position;        ///< m, world
  Eigen::Vector3d velocity;        ///< m/s, world
  Eigen::Matrix3d world_from_sensor;
};

[[nodiscard]] StrapState strap_state(const BodyMotion& motion, const StrapMount& mount, double t);

/// Standard gravity along world −Y, m/s².
inline constexpr double kGravity = 9.80665;

}  // namespace strapline::recordings::synthetic
