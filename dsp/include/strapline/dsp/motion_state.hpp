#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace strapline::dsp {

/// Where each part of the error state begins: δθ (world), δv, δp (world), δb_gyr (sensor), the
/// gyroscope's gain error column by column (sensor), δb_acc (sensor), δg.
namespace error_index {
inline constexpr int kTheta = 0, kVelocity = 3, kPosition = 6, kGyrBias = 9, kGyrGain = 12,
                     kAccBias = 21, kGravity = 24, kSize = 25;
inline constexpr int kMoving = kGyrBias;  ///< these change by themselves, the rest is constant
}  // namespace error_index
using ErrorVector = Eigen::Matrix<double, error_index::kSize, 1>;
using ErrorMatrix = Eigen::Matrix<double, error_index::kSize, error_index::kSize>;

/// The nominal motion of one strap. World: Y up, own arbitrary heading.
struct MotionState {
  Eigen::Quaterniond q_world_from_sensor = Eigen::Quaterniond::Identity();
  Eigen::Vector3d velocity = Eigen::Vector3d::Zero();  ///< m/s, world
  Eigen::Vector3d position = Eigen::Vector3d::Zero();  ///< m, world, from the middle place
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();  ///< rad/s, sensor
  /// 1, share of the true rate that the reading has too much: reading = (1 + gain)·rate + bias.
  Eigen::Matrix3d gyr_gain = Eigen::Matrix3d::Zero();
  Eigen::Vector3d acc_bias = Eigen::Vector3d::Zero();  ///< m/s², sensor
  double gravity = 9.81;                               ///< m/s², as this accelerometer shows it

  /// This state corrected by a small error (left, world-frame rotation).
  [[nodiscard]] MotionState plus(const ErrorVector& error) const;
  /// The angular rate, rad/s, behind a gyroscope's reading (gain to first order).
  [[nodiscard]] Eigen::Vector3d true_rate(const Eigen::Vector3d& reading) const {
    const Eigen::Vector3d rate = reading - gyr_bias;
    return rate - gyr_gain * rate;
  }
};

}  // namespace strapline::dsp
