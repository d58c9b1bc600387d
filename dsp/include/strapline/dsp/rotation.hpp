#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace strapline::dsp {

/// World frame of every orientation here: Y up, right-handed (ISB, Wu & Cavanagh 1995).
[[nodiscard]] inline Eigen::Vector3d world_up() { return Eigen::Vector3d::UnitY(); }

/// The cross-product matrix: skew(a)·b = a × b.
[[nodiscard]] Eigen::Matrix3d skew(const Eigen::Vector3d& v);

/// Rotation vector (rad) to unit quaternion.
[[nodiscard]] Eigen::Quaterniond exp_rotation(const Eigen::Vector3d& rotation_vector);

/// The same for the turn from one sample to the next: below 0.2 rad a series whose error is under
/// 1e-12, without a call of sin and cos. Multiplies by reciprocals: a division costs more than all
/// the rest.
[[nodiscard]] inline Eigen::Quaterniond exp_small_rotation(const Eigen::Vector3d& rotation_vector) {
  const double h = 0.25 * rotation_vector.squaredNorm();  // half the angle, squared
  if (h > 0.01) return exp_rotation(rotation_vector);
  const double scale =
      0.5 * (1.0 - (1.0 / 6.0) * h * (1.0 - (1.0 / 20.0) * h * (1.0 - (1.0 / 42.0) * h)));
  return {1.0 - 0.5 * h * (1.0 - (1.0 / 12.0) * h * (1.0 - (1.0 / 30.0) * h)),
          scale * rotation_vector.x(), scale * rotation_vector.y(), scale * rotation_vector.z()};
}

/// q · exp(small rotation vector, rad), entry by entry: a quaternion just made of four numbers is
/// not ready yet to be read as two pairs, which Eigen's product would wait for.
[[nodiscard]] inline Eigen::Quaterniond turned(const Eigen::Quaterniond& q,
                                               const Eigen::Vector3d& rotation_vector) {
  const Eigen::Quaterniond p = exp_small_rotation(rotation_vector);
  return {q.w() * p.w() - q.x() * p.x() - q.y() * p.y() - q.z() * p.z(),
          q.w() * p.x() + q.x() * p.w() + q.y() * p.z() - q.z() * p.y(),
          q.w() * p.y() + q.y() * p.w() + q.z() * p.x() - q.x() * p.z(),
          q.w() * p.z() + q.z() * p.w() + q.x() * p.y() - q.y() * p.x()};
}

/// Unit quaternion to the rotation vector of the shorter way, length 0…π rad. The sign of q does
/// not matter. Below 1e-8 rad the series is used; at exactly π the axis's sign is arbitrary.
[[nodiscard]] Eigen::Vector3d log_rotation(const Eigen::Quaterniond& q);

/// The part of `q_world_from_x` that turns about the world's vertical, rad, and what is left of it
/// with that turn removed: q = exp(heading · up) · tilt (swing–twist). Undefined (0) upside down.
[[nodiscard]] double heading_of(const Eigen::Quaterniond& q_world_from_x);

/// exp(angle · up).
[[nodiscard]] Eigen::Quaterniond turn_about_vertical(double angle);

/// Shortest rotation that takes the sensor-frame direction `up_sensor` to the world's up.
[[nodiscard]] Eigen::Quaterniond level(const Eigen::Vector3d& up_sensor);

/// Angle to (−π, π].
[[nodiscard]] double wrap_angle(double angle);

}  // namespace strapline::dsp
