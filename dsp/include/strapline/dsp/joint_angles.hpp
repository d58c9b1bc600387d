#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

/// All angles in rad. Segment axes X forwards, Y up, Z right; world Y up, X along the toe line
/// (legs) or forwards (trunk). Quaternions rotate from segment to world.

/// Elevation of hip→knee above horizontal: −π/2 standing plumb, 0 thigh horizontal, positive where
/// the hip is below the knee. Never below −π/2.
[[nodiscard]] double thigh_elevation(const Eigen::Quaterniond& q_world_from_thigh);

/// Knee (or elbow) flexion, Grood & Suntay 1983 (doi 10.1115/1.3138397): rotation about the
/// proximal segment's Z, 0 straight, positive flexed, in (−π, π].
[[nodiscard]] double knee_flexion(const Eigen::Quaterniond& q_world_from_thigh,
                                  const Eigen::Quaterniond& q_world_from_shank);

/// Hip flexion, same order, pelvis to thigh: 0 standing, positive flexed.
[[nodiscard]] double hip_flexion(const Eigen::Quaterniond& q_world_from_pelvis,
                                 const Eigen::Quaterniond& q_world_from_thigh);

/// Angle of the segment's Y from vertical in the sagittal plane, positive forwards.
[[nodiscard]] double forward_lean(const Eigen::Quaterniond& q_world_from_segment);

/// Same in the frontal plane, positive to the right.
[[nodiscard]] double side_lean(const Eigen::Quaterniond& q_world_from_segment);

/// The component towards the other leg of a world vector's Z: + for the left leg, − for the right.
[[nodiscard]] double inwards(double world_z, Side side);

/// Frontal plane projection of the knee: angle between hip→knee and knee→ankle projected on the
/// plane across the toe line, positive inwards. NaN where the thigh is within
/// kProjectionLimit of horizontal or beyond: its projection then has no direction to speak of.
[[nodiscard]] double frontal_knee_angle(const Eigen::Quaterniond& q_world_from_thigh,
                                        const Eigen::Quaterniond& q_world_from_shank, Side side);

/// rad (30°): nearer, an error of the tilt counts more than twice. See frontal_knee_angle.
inline constexpr double kProjectionLimit = 0.52;

}  // namespace strapline::dsp
