#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/motion_state.hpp"

namespace strapline::dsp {

/// One reading of a strap, sensor frame.
struct Reading {
  Eigen::Vector3d gyr = Eigen::Vector3d::Zero();  ///< rad/s
  Eigen::Vector3d acc = Eigen::Vector3d::Zero();  ///< m/s², specific force
};

/// A few samples integrated in the sensor's frame as it was at their beginning: what turns little
/// needs no quaternion of its own at each sample (two-speed strapdown integration after Savage
/// 1998, from memory). What is done at every sample is written here, to be compiled into its
/// caller.
struct TurnBlock {
  static constexpr int kMostSamples = 5;
  /// rad: the series below leave out turns to the third power, and the sum of two turns is theirs
  /// only up to the second.
  static constexpr double kMostTurn = 0.1;

  double duration = 0.0;                               ///< s
  int count = 0;                                       ///< samples
  Eigen::Vector3d turn = Eigen::Vector3d::Zero();      ///< ∫ ω dt, rad; gain error not removed
  Eigen::Vector3d coning = Eigen::Vector3d::Zero();    ///< rad, what turns in sequence add
  Eigen::Vector3d velocity = Eigen::Vector3d::Zero();  ///< ∫ f dt, m/s

  /// Adds the interval of `dt` s between two readings, rate and force linear within it.
  void take(double dt, const Reading& before, const Eigen::Vector3d& gyr,
            const Eigen::Vector3d& acc, const MotionState& sensor) {
    const Eigen::Vector3d rate0 = before.gyr - sensor.gyr_bias;
    const Eigen::Vector3d rate1 = gyr - sensor.gyr_bias;
    const Eigen::Vector3d step = (0.5 * dt) * (rate0 + rate1);
    const Eigen::Vector3d push = (0.5 * dt) * (before.acc + acc) - dt * sensor.acc_bias;
    const Eigen::Vector3d amid = turn + 0.5 * step;
    const Eigen::Vector3d swept = amid.cross(push);
    velocity += push + swept + 0.5 * amid.cross(swept);
    // Half of turn × step, and a twelfth of rate0 × rate1 · dt², which is a sixth of rate0 × step.
    coning += (0.5 * turn + (dt / 6.0) * rate0).cross(step);
    turn += step;
    duration += dt;
    ++count;
  }
  /// True where the block is long enough, or has turned as far as its series hold.
  [[nodiscard]] bool full() const {
    return count >= kMostSamples || turn.squaredNorm() > kMostTurn * kMostTurn;
  }
  /// The whole turn as a rotation vector, rad, with `more` (rad, gain error not removed) at its
  /// end.
  [[nodiscard]] Eigen::Vector3d rotation(const MotionState& sensor,
                                         const Eigen::Vector3d& more) const {
    const Eigen::Vector3d seen = turn + more;
    return (seen + coning) - sensor.gyr_gain * seen;
  }
};

/// Readings integrated over one epoch, in the strap's world; errors removed as known at its start.
/// What is in world axes (frames, gains, `gain_turn`) reaches to where the open block begins, the
/// plain sums to the last sample.
struct EpochReadings {
  double duration = 0.0;                                                 ///< s
  Eigen::Quaterniond world_from_block = Eigen::Quaterniond::Identity();  ///< where it begins…
  Eigen::Matrix3d block_frame = Eigen::Matrix3d::Identity();             ///< …and as a matrix
  Eigen::Vector3d velocity_gain = Eigen::Vector3d::Zero();               ///< ∫ f dt, m/s
  Eigen::Vector3d position_gain = Eigen::Vector3d::Zero();               ///< ∫∫ f dt dt, m
  Eigen::Matrix3d frame_time = Eigen::Matrix3d::Zero();                  ///< ∫ R dt, s
  /// ∫ R ⊗ ω dt: column block j is what a gain error of column j turns the epoch by, rad.
  Eigen::Matrix<double, 3, 9> gain_turn = Eigen::Matrix<double, 3, 9>::Zero();
  double rate_square_time = 0.0;  ///< ∫ |ω|² dt, rad²/s
  double shock = 0.0;             ///< Σ |Δf|² dt², m²/s²: velocity that hides between samples
  double untrusted_s = 0.0;       ///< s of the epoch within gaps or saturated stretches
  TurnBlock block;                ///< open

  /// An epoch that begins in this orientation.
  static EpochReadings from(const Eigen::Quaterniond& world_from_sensor);
  /// Adds the interval of `dt` s between the reading before and this one: gyr rad/s, acc m/s²,
  /// sensor frame. `sensor`: its errors; `trusted` false in gaps and saturated stretches.
  void take(double dt, const Reading& before, const Eigen::Vector3d& gyr,
            const Eigen::Vector3d& acc, const MotionState& sensor, bool trusted) {
    block.take(dt, before, gyr, acc, sensor);
    duration += dt;
    rate_square_time += (gyr - sensor.gyr_bias).squaredNorm() * dt;
    shock += (acc - before.acc).squaredNorm() * dt * dt;
    if (!trusted) untrusted_s += dt;
    if (block.full()) close_block(sensor);
  }
  /// Takes the open block into the world's sums and begins another: before these are read.
  void close_block(const MotionState& sensor);
};

}  // namespace strapline::dsp
