#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/orientation_smoother.hpp"

namespace strapline::dsp {

/// What is assumed of a joint between two neighbouring segments. Physical quantities, one set for
/// every joint.
struct JointParams {
  double step_s = 0.1;           ///< s, between looks at the joint
  double knot_s = 0.5;           ///< s, between knots of the slow errors
  double heading_drift = 0.006;  ///< rad/√s, of one strap's heading against the other's
  double tilt_time = 2.0;        ///< s, how long an error of the inclination lasts
  double tilt_floor = 0.01;      ///< rad, of the inclination at the least (about 0.6°)
  double play_floor = 0.017;     ///< rad, of the joint's axis at the least (about 1°)
  double play_time = 0.5;        ///< s, how long a deviation from the hinge lasts
  double force_floor = 0.3;    ///< m/s², of the joint's specific force over one step, at the least
  double force_time = 0.5;     ///< s, how long a deviation of it lasts
  double lever_sd = 0.3;       ///< m, from a strap to the joint
  double least_turn = 0.13;    ///< rad, RMS: below it the segments hardly turned (about 7.5°)
  double start_posture = 0.1;  ///< s, from the beginning: its median is the angle's zero
  double latency_u = 0.004;    ///< s, by which a part's readings may be late
};

/// The readings of one strap and the orientation that follows from them.
struct WornStrap {
  const InertialSeries& readings;
  const OrientationSeries& orientation;
};

/// How two neighbouring segments turned against each other.
struct JointMotion {
  Eigen::VectorXd t;          ///< n, s, the samples of strap a that both straps cover
  Eigen::VectorXd flexion;    ///< n, rad, about the hinge, 0 in the start posture, positive towards
                              ///< the larger excursion
  Eigen::VectorXd flexion_u;  ///< n, rad, 1 sigma: inclinations, heading, and the moment that a
                              ///< reading stands for (half a sample and the latency, times the
                              ///< rate); without a constant, which the start posture settles
  Eigen::VectorXd heading_a_from_b;      ///< n, rad, turn about the vertical from b's world to a's
  Eigen::VectorXd heading_u;             ///< n, rad, 1 sigma
  std::vector<char> heading_observable;  ///< n, 0 where the axis is within 15° of vertical: bridged
  Eigen::Vector3d axis_a = Eigen::Vector3d::UnitZ();  ///< unit, sensor frame of a; a flexion is a
                                                      ///< positive turn of b against a about it
  Eigen::Vector3d axis_b = Eigen::Vector3d::UnitZ();  ///< unit, sensor frame of b
  double axis_a_u = 0.0;                              ///< rad, 1 sigma, RMS of the two directions
  double axis_b_u = 0.0;                              ///< rad
  double play = 0.0;  ///< rad, RMS angle between the two views of the axis
  Eigen::Vector3d lever_a = Eigen::Vector3d::Zero();  ///< m, from strap a to the joint
  Eigen::Vector3d lever_b = Eigen::Vector3d::Zero();  ///< m, from strap b to the joint
};

/// Hinge axes, relative heading (which may drift) and flexion, together from the whole recording.
/// Both straps look at one joint: they see one axis (in the spirit of Seel et al. 2012 and Laidig
/// et al. 2017), and its centre has one velocity change per step, to which each strap adds its own
/// lever arm (Seel et al. 2014, doi 10.3390/s140406891, on accelerations). Unknown are the axes,
/// the levers, and a slow relative error of the orientations: its vertical part, the heading,
/// walks; its horizontal part, the inclinations', is small and fades. Least squares, weighted
/// robustly, with the scale of both kinds of mismatch taken from the recording. Fails where the
/// recordings hardly overlap, or where the segments hardly turn against each other.
[[nodiscard]] Result<JointMotion> joint_motion(const WornStrap& a, const WornStrap& b,
                                               const JointParams& params = {});

}  // namespace strapline::dsp
