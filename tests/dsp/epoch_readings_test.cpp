#include "strapline/dsp/epoch_readings.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kGravity = 9.81;
constexpr double kSlope = 0.4;  // rad, half angle of the cone
const double kPace = 2.0 * std::numbers::pi;

/// Classical coning motion (Bortz 1971; the closed form is standard): the sensor is turned by
/// `kSlope` about a horizontal axis that goes round once a second. No single axis, known exactly.
Quaterniond orientation_at(double t) {
  const double s = std::sin(0.5 * kSlope);
  return {std::cos(0.5 * kSlope), s * std::cos(kPace * t), 0.0, s * std::sin(kPace * t)};
}

/// ω = 2·q*·dq/dt, rad/s, sensor frame.
Vector3d rate_at(double t) {
  const double s = std::sin(0.5 * kSlope) * kPace;
  const Quaterniond change(0.0, -s * std::sin(kPace * t), 0.0, s * std::cos(kPace * t));
  return 2.0 * (orientation_at(t).conjugate() * change).vec();
}

/// At its place: what the accelerometer feels is gravity alone.
Reading reading_at(double t) {
  return {rate_at(t), orientation_at(t).conjugate() * Vector3d(0.0, kGravity, 0.0)};
}

EpochReadings integrated(double seconds, double rate_hz, const MotionState& sensor) {
  EpochReadings epoch = EpochReadings::from(orientation_at(0.0));
  const int n = static_cast<int>(std::lround(seconds * rate_hz));
  Reading before = reading_at(0.0);
  for (int i = 1; i <= n; ++i) {
    const Reading now = reading_at(i / rate_hz);
    epoch.take(1.0 / rate_hz, before, now.gyr, now.acc, sensor, true);
    before = now;
  }
  if (epoch.block.count > 0) epoch.close_block(sensor);
  return epoch;
}

double turn_between(const Quaterniond& a, const Quaterniond& b) {
  return log_rotation(a.conjugate() * b).norm();
}

/// Rate linear between samples: a circling rate loses (pace·dt)²/12 of its size, and the turn that
/// a round of the cone leaves, 2π(1 − cos slope), goes with its square.
TEST(EpochReadings, FollowConingMotionRound) {
  const EpochReadings epoch = integrated(1.0, 100.0, {});
  const double left = 2.0 * std::numbers::pi * (1.0 - std::cos(kSlope));
  const double unavoidable = left * (kPace * 0.01) * (kPace * 0.01) / 6.0;
  EXPECT_NEAR(epoch.duration, 1.0, 1e-9);
  EXPECT_LT(turn_between(epoch.world_from_block, orientation_at(1.0)), 1.1 * unavoidable);
  EXPECT_LT((epoch.velocity_gain - Vector3d(0.0, kGravity, 0.0)).norm(), 3e-3);
  EXPECT_LT((epoch.position_gain - Vector3d(0.0, 0.5 * kGravity, 0.0)).norm(), 3e-3);
}

TEST(EpochReadings, TwiceTheSamplesLeaveAtMostAThirdOfTheError) {
  const auto error = [](double rate_hz) {
    return turn_between(integrated(1.0, rate_hz, {}).world_from_block, orientation_at(1.0));
  };
  EXPECT_LT(error(100.0), error(50.0) / 3.0);
  EXPECT_LT(error(50.0), 2e-3);
}

/// The trapezoidal rule over blocks of 0.05 s: wrong by at most 0.05²/12·0.2 s of the frame's
/// second derivative, √2·(|ω|² + |dω/dt|).
TEST(EpochReadings, TheMeanFrameIsTheIntegralOfTheFrame) {
  const double rate = rate_at(0.0).norm();
  const double bound = 0.05 * 0.05 / 12.0 * 0.2 * std::sqrt(2.0) * (rate * rate + kPace * rate);
  Matrix3d expected = Matrix3d::Zero();
  constexpr int kSteps = 10000;
  for (int i = 0; i < kSteps; ++i) {
    expected += orientation_at((i + 0.5) / kSteps * 0.2).toRotationMatrix() * (0.2 / kSteps);
  }
  EXPECT_LT((integrated(0.2, 100.0, {}).frame_time - expected).norm(), bound);
}

/// gain_turn says by how much a gain error turns the epoch: it must be what a small gain does.
TEST(EpochReadings, AGainErrorTurnsTheEpochAsStated) {
  const EpochReadings plain = integrated(0.2, 100.0, {});
  for (int entry = 0; entry < 9; ++entry) {
    MotionState sensor;
    sensor.gyr_gain(entry % 3, entry / 3) = 1e-4;
    const EpochReadings other = integrated(0.2, 100.0, sensor);
    const Vector3d turned =
        log_rotation(other.world_from_block * plain.world_from_block.conjugate());
    EXPECT_LT((turned + 1e-4 * plain.gain_turn.col(entry)).norm(), 2e-7) << entry;
  }
}

/// Between samples that close no block, the open one tells where the strap has got to.
TEST(EpochReadings, TheOpenBlockCarriesTheOrientationOn) {
  const MotionState sensor;
  EpochReadings epoch = EpochReadings::from(orientation_at(0.0));
  Reading before = reading_at(0.0);
  for (int i = 1; i <= 23; ++i) {
    const Reading now = reading_at(i / 200.0);
    epoch.take(1.0 / 200.0, before, now.gyr, now.acc, sensor, true);
    before = now;
    const Quaterniond at =
        turned(epoch.world_from_block, epoch.block.rotation(sensor, Vector3d::Zero()));
    EXPECT_LT(turn_between(at, orientation_at(i / 200.0)), 1e-4) << i;
  }
  EXPECT_GT(epoch.block.count, 0);
}

}  // namespace
}  // namespace strapline::dsp
