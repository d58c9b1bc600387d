#include "strapline/dsp/epoch_readings.hpp"

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr int kBlockSamples = 5;
/// rad: the series below leave out turns to the third power, and the sum of two turns is theirs
/// only up to the second.
constexpr double kBlockTurn = 0.1;

}  // namespace

inline void TurnBlock::take(double dt, const Reading& before, const Vector3d& gyr,
                            const Vector3d& acc, const MotionState& sensor) {
  const Vector3d rate0 = before.gyr - sensor.gyr_bias;
  const Vector3d rate1 = gyr - sensor.gyr_bias;
  const Vector3d step = (0.5 * dt) * (rate0 + rate1);
  const Vector3d push = (0.5 * dt) * (before.acc + acc) - dt * sensor.acc_bias;
  const Vector3d amid = turn + 0.5 * step;
  const Vector3d swept = amid.cross(push);
  velocity += push + swept + 0.5 * amid.cross(swept);
  coning += 0.5 * turn.cross(step) + ((1.0 / 12.0) * dt * dt) * rate0.cross(rate1);
  turn += step;
  duration += dt;
  ++count;
}

inline bool TurnBlock::full() const {
  return count >= kBlockSamples || turn.squaredNorm() > kBlockTurn * kBlockTurn;
}

EpochReadings EpochReadings::from(const Quaterniond& world_from_sensor) {
  EpochReadings epoch;
  epoch.world_from_block = world_from_sensor;
  epoch.block_frame = world_from_sensor.toRotationMatrix();
  return epoch;
}

void EpochReadings::take(double dt, const Reading& before, const Vector3d& gyr, const Vector3d& acc,
                         const MotionState& sensor, bool trusted) {
  block.take(dt, before, gyr, acc, sensor);
  duration += dt;
  rate_square_time += (gyr - sensor.gyr_bias).squaredNorm() * dt;
  shock += (acc - before.acc).squaredNorm() * dt * dt;
  if (!trusted) untrusted_s += dt;
  if (block.full()) close_block(sensor);
}

void EpochReadings::close_block(const MotionState& sensor) {
  world_from_block = turned(world_from_block, block.rotation(sensor, Vector3d::Zero()));
  const Matrix3d frame_after = world_from_block.toRotationMatrix();
  const Matrix3d amid = 0.5 * (block_frame + frame_after);
  const Vector3d gain = block_frame * block.velocity;
  position_gain += block.duration * (velocity_gain + 0.5 * gain);
  velocity_gain += gain;
  frame_time += block.duration * amid;
  for (int column = 0; column < 3; ++column) {
    gain_turn.middleCols<3>(3 * column) += block.turn[column] * amid;
  }
  block_frame = frame_after;
  block = TurnBlock{};
}

}  // namespace strapline::dsp
