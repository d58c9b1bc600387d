#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/joint_motion.hpp"

namespace strapline::dsp {

/// One strap on the times of the pair.
struct StrapOnPair {
  std::vector<Eigen::Quaterniond> q_world_from_sensor;  ///< n
  Eigen::Matrix3Xd gyr;                                 ///< rad/s, bias removed, sensor frame
  Eigen::Matrix3Xd acc;                                 ///< m/s², sensor frame
  Eigen::VectorXd tilt_u;                               ///< rad
  Eigen::VectorXd heading_u;                            ///< rad, since the start
};

/// Both straps on the samples of the first that both cover, and where samples are missing.
struct StrapPair {
  Eigen::VectorXd t;  ///< n, s
  StrapOnPair a, b;
  std::vector<char> known;  ///< n, 0 within a gap of either strap
};
[[nodiscard]] StrapPair pair_up(const WornStrap& a, const WornStrap& b);

/// What one strap shows of the joint over one step, in its own world.
struct StrapLook {
  Eigen::Matrix3d q = Eigen::Matrix3d::Identity();  ///< world from sensor in the middle
  Eigen::Vector3d force = Eigen::Vector3d::Zero();  ///< m/s², mean specific force at the strap
  Eigen::Matrix3d lever = Eigen::Matrix3d::Zero();  ///< 1/s², what a lever (sensor frame, m) adds
};
struct JointLook {
  double t = 0.0;  ///< s
  StrapLook a, b;
  double tilt_u = 0.0;            ///< rad, of both straps together, per direction
  double heading_variance = 0.0;  ///< rad², of both straps together, since the start
};

/// The pair over steps of `step_s`; none where samples are missing.
[[nodiscard]] std::vector<JointLook> looks_at_joint(const StrapPair& pair, double step_s);

}  // namespace strapline::dsp
