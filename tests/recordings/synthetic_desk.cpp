// The strap on the desk: against numerical differentiation, and still where it should be.
#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "strapline/dsp/calibration.hpp"
#include "strapline/recordings/synthetic/desk_motion.hpp"

#include "strap_derivatives.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

const dsp::Placement kOther{dsp::Segment::other, dsp::Side::middle};

TEST(SyntheticDesk, SensorsFeelTheDerivativesOfTheirPath) {
  const DeskMotion motion({3, 8, 2});
  Random random(5);
  const StrapMount mount = draw_mount(motion, kOther, StrapSetup{}, random);
  for (double t = 0.5; t < motion.end_s() - 0.5; t += 0.171) {
    expect_derivatives_of_the_path(motion, mount, t);
  }
}

TEST(SyntheticDesk, LiesOnAllSixSidesAndComesBackFromItsTurns) {
  StrapSetup setup;
  setup.placements = {kOther};
  setup.part = "ideal";
  const auto set = synthesize_desk({4, 6, 1}, setup).value();
  const auto poses = dsp::still_poses(to_series(set.recording.straps[0]).data);
  ASSERT_EQ(poses.size(), 9U);
  Eigen::Vector3d most = Eigen::Vector3d::Zero(), least = Eigen::Vector3d::Zero();
  for (const dsp::StillPose& pose : poses) {
    most = most.cwiseMax(pose.acc_mean);
    least = least.cwiseMin(pose.acc_mean);
    EXPECT_NEAR(pose.acc_mean.norm(), kGravity, 0.01);
  }
  EXPECT_GT(most.minCoeff(), 9.5);  // every axis pointed up once, and down
  EXPECT_LT(least.maxCoeff(), -9.5);
  for (std::size_t k = 6; k < 9; ++k) {
    EXPECT_LT((poses[k].acc_mean - poses[5].acc_mean).norm(), 0.01);
  }
  EXPECT_TRUE(set.reps.empty());
}

// Its sensor is the one that the same seed wears: what the desk shows holds for the set.
TEST(SyntheticDesk, IsTheStrapThatASetWears) {
  StrapSetup setup;
  setup.placements = {{dsp::Segment::shank, dsp::Side::right}};
  setup.seed = 9;
  const auto desk = synthesize_desk({1, 6}, setup).value();
  const auto worn = synthesize_set(SquatSetParams{}, setup).value();
  EXPECT_EQ(desk.recording.straps[0].device_id, worn.recording.straps[0].device_id);
  EXPECT_EQ(desk.straps[0].acc_bias, worn.straps[0].acc_bias);
  EXPECT_EQ(desk.straps[0].acc_gain, worn.straps[0].acc_gain);
  EXPECT_EQ(desk.straps[0].gyr_bias, worn.straps[0].gyr_bias);
  EXPECT_FALSE(synthesize_desk({1, 0}, setup).has_value());
}

}  // namespace
}  // namespace strapline::recordings::synthetic
