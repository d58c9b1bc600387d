#include "strapline/dsp/motion_state.hpp"

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {

using namespace error_index;

MotionState MotionState::plus(const ErrorVector& e) const {
  MotionState s = *this;
  s.q_world_from_sensor = (exp_rotation(e.segment<3>(kTheta)) * q_world_from_sensor).normalized();
  s.velocity += e.segment<3>(kVelocity);
  s.position += e.segment<3>(kPosition);
  s.gyr_bias += e.segment<3>(kGyrBias);
  s.gyr_gain += Eigen::Map<const Eigen::Matrix3d>(e.data() + kGyrGain);
  s.acc_bias += e.segment<3>(kAccBias);
  s.gravity += e[kGravity];
  return s;
}

}  // namespace strapline::dsp
