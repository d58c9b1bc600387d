#include "strapline/dsp/epoch_readings.hpp"

#include "strapline/dsp/rotation.hpp"

#include "wide_vectors.hpp"

namespace strapline::dsp {

using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

EpochReadings EpochReadings::from(const Quaterniond& world_from_sensor) {
  EpochReadings epoch;
  epoch.world_from_block = world_from_sensor;
  epoch.block_frame = world_from_sensor.toRotationMatrix();
  return epoch;
}

STRAPLINE_WIDE_VECTORS void EpochReadings::close_block(const MotionState& sensor) {
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
