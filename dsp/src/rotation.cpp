#include "strapline/dsp/rotation.hpp"

#include <cmath>
#include <numbers>

namespace strapline::dsp {
namespace {
constexpr double kSmallAngle = 1e-8;  // rad; below it sin and cos are their series to the last bit
}

Eigen::Matrix3d skew(const Eigen::Vector3d& v) {
  Eigen::Matrix3d m;
  m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return m;
}

Eigen::Quaterniond exp_rotation(const Eigen::Vector3d& rotation_vector) {
  const double angle = rotation_vector.norm();
  const double scale = angle < kSmallAngle ? 0.5 : std::sin(0.5 * angle) / angle;
  const Eigen::Vector3d v = scale * rotation_vector;
  return {std::cos(0.5 * angle), v.x(), v.y(), v.z()};
}

Eigen::Vector3d log_rotation(const Eigen::Quaterniond& q) {
  const double sign = q.w() < 0.0 ? -1.0 : 1.0;
  const Eigen::Vector3d v = sign * q.vec();
  const double length = v.norm();
  if (length < kSmallAngle) return 2.0 * v;
  return 2.0 * std::atan2(length, sign * q.w()) / length * v;
}

double heading_of(const Eigen::Quaterniond& q_world_from_x) {
  const double up = q_world_from_x.y();
  const double w = q_world_from_x.w();
  if (up * up + w * w < kSmallAngle) return 0.0;
  return wrap_angle(2.0 * std::atan2(up, w));
}

Eigen::Quaterniond turn_about_vertical(double angle) { return exp_rotation(angle * world_up()); }

Eigen::Quaterniond level(const Eigen::Vector3d& up_sensor) {
  return Eigen::Quaterniond::FromTwoVectors(up_sensor, world_up());
}

double wrap_angle(double angle) {
  constexpr double kTurn = 2.0 * std::numbers::pi;
  const double wrapped = std::remainder(angle, kTurn);
  return wrapped <= -std::numbers::pi ? wrapped + kTurn : wrapped;
}

}  // namespace strapline::dsp
