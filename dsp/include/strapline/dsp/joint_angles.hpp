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

/// Knee flexion, Grood & Suntay 1983 (doi 10.1115/1.3138397): rotation about the
/// proximal segment's Z, 0 straight, positive flexed, in (−π, π].
[[nodiscard]] double knee_flexion(const Eigen::Quaterniond& q_world_from_thigh,
                                  const Eigen::Quaterniond& q_world_from_shank);

/// Hip flexion, same order, pelvis to thigh: 0 standing, positive flexed.
[[nodiscard]] double hip_flexion(const Eigen::Quaterniond& q_world_from_pelvis,
                                 const Eigen::Quaterniond& q_world_from_thigh);

/// Ankle flexion, same order, shank to foot: dorsiflexion positive (the toes come towards the shin,
/// or the shin over the toes). 0 where the shank is square to the sole; the measure counts from the
/// client's own standing still.
[[nodiscard]] double ankle_flexion(const Eigen::Quaterniond& q_world_from_shank,
                                   const Eigen::Quaterniond& q_world_from_foot);

/// Elbow flexion, same order, upper arm to forearm: 0 straight, positive flexed (the hand comes
/// forwards of a hanging arm).
[[nodiscard]] double elbow_flexion(const Eigen::Quaterniond& q_world_from_upper_arm,
                                   const Eigen::Quaterniond& q_world_from_forearm);

/// Elbow flare: angle between shoulder→elbow and the trunk's −Y after removing the component along
/// the trunk's X (seen from the front of the chest): 0 by the sides, π/2 straight out, π overhead.
/// `to_elbow`: unit, trunk's axes. NaN where the arm points within kFlareLimit of straight out of
/// the chest or the back: what is left then has no direction to speak of.
[[nodiscard]] double elbow_flare(const Eigen::Vector3d& to_elbow);

/// rad (20°): nearer, an error of the arm's direction counts three times. See elbow_flare.
inline constexpr double kFlareLimit = 0.349;

/// Elbow plane: angle of shoulder→elbow out of the trunk's frontal plane, positive in front.
[[nodiscard]] double elbow_plane(const Eigen::Vector3d& to_elbow);

/// shoulder→elbow in the trunk's axes.
[[nodiscard]] Eigen::Vector3d to_elbow_in_trunk(const Eigen::Quaterniond& q_world_from_trunk,
                                                const Eigen::Quaterniond& q_world_from_upper_arm);

/// Angle of elbow→wrist from the vertical line, up or down: 0 … π/2.
[[nodiscard]] double forearm_tilt(const Eigen::Quaterniond& q_world_from_forearm);

/// Body line: angle between trunk Y and thigh Y in the trunk's sagittal plane, 0 straight, positive
/// piked, negative arched.
[[nodiscard]] double body_line(const Eigen::Quaterniond& q_world_from_trunk,
                               const Eigen::Quaterniond& q_world_from_thigh);

/// Sagittal rotation of the upper against the lower back, positive rounded (upper end forwards).
[[nodiscard]] double back_rounding(const Eigen::Quaterniond& q_world_from_upper_back,
                                   const Eigen::Quaterniond& q_world_from_lower_back);

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

/// rad (45°): nearer, an error of the tilt counts more than 1.4 times, and soon many times. See
/// frontal_knee_angle.
inline constexpr double kProjectionLimit = 0.785;

}  // namespace strapline::dsp
