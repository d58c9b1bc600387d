#pragma once

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {

/// What the strap feels at time `t` (s) against central differences of its path, step 0.1 ms: their
/// truncation and rounding stay below 1e-3 m/s² and 1e-5 rad/s.
template <class Motion>
void expect_derivatives_of_the_path(const Motion& motion, const StrapMount& mount, double t) {
  constexpr double h = 1e-4;
  const StrapState now = strap_state(motion, mount, t);
  const StrapState before = strap_state(motion, mount, t - h);
  const StrapState after = strap_state(motion, mount, t + h);
  const Eigen::Vector3d acceleration =
      (after.position - 2.0 * now.position + before.position) / (h * h);
  const Eigen::Vector3d force =
      now.world_from_sensor.transpose() * (acceleration + kGravity * Eigen::Vector3d::UnitY());
  EXPECT_LT((force - now.specific_force).norm(), 1e-3) << t << " s";
  const Eigen::AngleAxisd turn(
      Eigen::Matrix3d(before.world_from_sensor.transpose() * after.world_from_sensor));
  const Eigen::Vector3d rate = turn.axis() * turn.angle() / (2.0 * h);
  EXPECT_LT((rate - now.angular_rate).norm(), 1e-4) << t << " s";
}

}  // namespace strapline::recordings::synthetic
