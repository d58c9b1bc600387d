#pragma once

#include <cmath>

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace strapline::dsp {

/// World frame of every orientation here: Y up, right-handed (ISB, Wu & Cavanagh 1995).
[[nodiscard]] inline Eigen::Vector3d world_up() { return Eigen::Vector3d::UnitY(); }

/// The cross-product matrix: skew(a)·b = a × b.
[[nodiscard]] Eigen::Matrix3d skew(const Eigen::Vector3d& v);

/// Rotation vector (rad) to unit quaternion.
[[nodiscard]] Eigen::Quaterniond exp_rotation(const Eigen::Vector3d& rotation_vector);

/// exp(v) = (w, scale·v): what is not the direction.
struct TurnFactors {
  double w = 1.0;
  double scale = 0.5;
};

/// Of the turn from one sample to the next, its length squared, rad²: below 0.2 rad a series whose
/// error is under 1e-12, without a call of sin and cos. Its terms are summed in pairs, not one
/// within the other, and nothing is divided: the length of the chain is what costs.
[[nodiscard]] inline TurnFactors turn_factors(double square) {
  if (square > 0.04) {
    const double angle = std::sqrt(square);
    return {std::cos(0.5 * angle), std::sin(0.5 * angle) / angle};
  }
  const double fourth = square * square;
  return {
      (1.0 - square * (1.0 / 8.0)) + fourth * (1.0 / 384.0 - square * (1.0 / 46080.0)),
      (1.0 / 2.0 - square * (1.0 / 48.0)) + fourth * (1.0 / 3840.0 - square * (1.0 / 645120.0))};
}

/// exp_rotation for the turn from one sample to the next, rad.
[[nodiscard]] inline Eigen::Quaterniond exp_small_rotation(const Eigen::Vector3d& rotation_vector) {
  const TurnFactors f = turn_factors(rotation_vector.squaredNorm());
  return {f.w, f.scale * rotation_vector.x(), f.scale * rotation_vector.y(),
          f.scale * rotation_vector.z()};
}

/// q · exp(small rotation vector v, rad) = w·q + scale·(q·v): the product, entry by entry, need not
/// wait for the factors.
[[nodiscard]] inline Eigen::Quaterniond turned(const Eigen::Quaterniond& q,
                                               const Eigen::Vector3d& v) {
  const TurnFactors f = turn_factors(v.squaredNorm());
  return {f.w * q.w() - f.scale * (q.x() * v.x() + q.y() * v.y() + q.z() * v.z()),
          f.w * q.x() + f.scale * (q.w() * v.x() + q.y() * v.z() - q.z() * v.y()),
          f.w * q.y() + f.scale * (q.w() * v.y() + q.z() * v.x() - q.x() * v.z()),
          f.w * q.z() + f.scale * (q.w() * v.z() + q.x() * v.y() - q.y() * v.x())};
}

/// A quaternion whose length is 1 but for rounding and such series' errors, brought back to 1 by
/// one step of Newton's: neither root nor division.
[[nodiscard]] inline Eigen::Quaterniond renormalized(const Eigen::Quaterniond& q) {
  return Eigen::Quaterniond((1.5 - 0.5 * q.squaredNorm()) * q.coeffs());
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
