#pragma once

#include <cmath>
#include <functional>
#include <numbers>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp::testing {

inline constexpr double kGravity = 9.81;
inline constexpr double kDegree = std::numbers::pi / 180.0;

/// An angle and its first two derivatives, in closed form.
struct Swing {
  double angle, rate, acceleration;
};

/// Both at once.
inline Swing operator+(const Swing& a, const Swing& b) {
  return {a.angle + b.angle, a.rate + b.rate, a.acceleration + b.acceleration};
}

/// `count` raised-cosine excursions of height `range` rad and length `period` s from `start_s` on,
/// with `pause` s between them.
inline Swing bends(double t, double start_s, int count, double period, double pause, double range) {
  const double w = 2.0 * std::numbers::pi / period;
  for (int k = 0; k < count; ++k) {
    const double s = t - start_s - k * (period + pause);
    if (s < 0.0 || s > period) continue;
    return {0.5 * range * (1.0 - std::cos(w * s)), 0.5 * range * w * std::sin(w * s),
            0.5 * range * w * w * std::cos(w * s)};
  }
  return {0.0, 0.0, 0.0};
}

/// A strap on a rigid segment that swings about a fixed horizontal world axis through a pivot.
struct SwingingStrap {
  std::function<Swing(double)> swing;
  std::function<Swing(double)> roll;  ///< of the strap about the segment's Y; none: it stays
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();         ///< world, unit
  Eigen::Vector3d arm = Eigen::Vector3d(0.05, -0.3, 0.0);  ///< m, pivot to strap at angle 0
  Eigen::Quaterniond q_segment_from_sensor = Eigen::Quaterniond::Identity();
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();  ///< rad/s

  [[nodiscard]] Eigen::Quaterniond q_world_from_segment(double t) const {
    return exp_rotation(swing(t).angle * axis);
  }

  [[nodiscard]] InertialSeries record(double seconds, double rate_hz) const {
    const auto n = static_cast<Eigen::Index>(seconds * rate_hz) + 1;
    InertialSeries out{Eigen::VectorXd(n), Eigen::Matrix3Xd(3, n), Eigen::Matrix3Xd(3, n), {}};
    for (Eigen::Index i = 0; i < n; ++i) {
      const double t = static_cast<double>(i) / rate_hz;
      const Swing s = swing(t);
      const Swing r = roll ? roll(t) : Swing{};
      const Eigen::Quaterniond rolled = exp_rotation(r.angle * Eigen::Vector3d::UnitY());
      const Eigen::Quaterniond q = q_world_from_segment(t) * rolled * q_segment_from_sensor;
      const Eigen::Vector3d p = q_world_from_segment(t) * arm;
      const Eigen::Vector3d acceleration =
          s.acceleration * axis.cross(p) + s.rate * s.rate * axis.cross(axis.cross(p));
      out.t[i] = t;
      out.gyr.col(i) = q.conjugate() * (s.rate * axis + q_world_from_segment(t) *
                                                            (r.rate * Eigen::Vector3d::UnitY())) +
                       gyr_bias;
      out.acc.col(i) = q.conjugate() * (acceleration + kGravity * world_up());
    }
    return out;
  }
};

}  // namespace strapline::dsp::testing
