// The upper body's measures on postures set by hand: signs, zeros and what is left out
// (measures.md).
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "strapline/dsp/joint_angles.hpp"

namespace strapline::dsp {
namespace {

using Eigen::AngleAxisd;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kDegree = std::numbers::pi / 180.0;

Quaterniond about(const Vector3d& axis, double degrees) {
  return Quaterniond(AngleAxisd(degrees * kDegree, axis));
}
const Vector3d kX = Vector3d::UnitX(), kY = Vector3d::UnitY(), kZ = Vector3d::UnitZ();

/// Trunk leaning forwards: a turn about −Z.
Quaterniond leaning(double degrees) { return about(-kZ, degrees); }

/// Right arm raised to the side: −Y goes to Z, a turn about −X.
Quaterniond raised_right(double degrees) { return about(-kX, degrees); }

TEST(ArmAngles, ElbowFlexesWithTheHandForwards) {
  const Quaterniond upright = Quaterniond::Identity();
  EXPECT_NEAR(elbow_flexion(upright, upright), 0.0, 1e-12);
  EXPECT_NEAR(elbow_flexion(upright, about(kZ, 90.0)), 90.0 * kDegree, 1e-12);
  // A turn of the forearm about its own length, palm up or down, is no flexion.
  EXPECT_NEAR(elbow_flexion(upright, about(kZ, 60.0) * about(kY, 70.0)), 60.0 * kDegree, 1e-12);
}

TEST(ArmAngles, FlareIsSeenFromTheFrontOfTheChest) {
  const Quaterniond trunk = leaning(70.0) * about(kY, 0.0);
  const auto flare = [&](const Quaterniond& arm_on_trunk) {
    return elbow_flare(to_elbow_in_trunk(trunk, trunk * arm_on_trunk)) / kDegree;
  };
  EXPECT_NEAR(flare(Quaterniond::Identity()), 0.0, 1e-9);
  EXPECT_NEAR(flare(raised_right(90.0)), 90.0, 1e-9);
  EXPECT_NEAR(flare(raised_right(-45.0)), 45.0, 1e-9);  // the left arm, to its own side
  EXPECT_NEAR(flare(raised_right(170.0)), 170.0, 1e-9);
  // 30° in front of the trunk as well: what lies along the trunk's X is left out.
  const Vector3d forwards_out = Vector3d(std::sin(30 * kDegree), -0.5 * std::cos(30 * kDegree),
                                         std::sqrt(0.75) * std::cos(30 * kDegree));
  EXPECT_NEAR(elbow_flare(forwards_out) / kDegree, 60.0, 1e-9);
  EXPECT_NEAR(elbow_plane(forwards_out) / kDegree, 30.0, 1e-9);
}

TEST(ArmAngles, FlareHasNoDirectionStraightOutOfTheChest) {
  EXPECT_TRUE(std::isnan(elbow_flare(kX)));
  EXPECT_TRUE(std::isnan(elbow_flare(Vector3d(0.95, -0.31, 0.0).normalized())));
  EXPECT_FALSE(std::isnan(elbow_flare(Vector3d(0.9, -0.43, 0.0).normalized())));
}

TEST(ArmAngles, PlaneIsPositiveInFrontOfTheTrunk) {
  EXPECT_NEAR(elbow_plane(-kY), 0.0, 1e-12);
  EXPECT_NEAR(elbow_plane(kX) / kDegree, 90.0, 1e-9);
  EXPECT_NEAR(elbow_plane(Vector3d(-std::sin(0.2), std::cos(0.2), 0.0)), -0.2, 1e-12);
}

TEST(ArmAngles, ForearmTiltCountsFromTheVerticalUpOrDown) {
  EXPECT_NEAR(forearm_tilt(Quaterniond::Identity()), 0.0, 1e-9);
  EXPECT_NEAR(forearm_tilt(about(kX, 180.0)), 0.0, 1e-9);
  EXPECT_NEAR(forearm_tilt(about(kZ, 25.0)) / kDegree, 25.0, 1e-9);
  EXPECT_NEAR(forearm_tilt(about(kX, 180.0) * about(kZ, -25.0)) / kDegree, 25.0, 1e-9);
}

TEST(ArmAngles, BodyLineIsPositivePikedAndNegativeArched) {
  const Quaterniond trunk = leaning(75.0);
  EXPECT_NEAR(body_line(trunk, trunk), 0.0, 1e-12);
  // Hips up: the trunk leans further than the thighs.
  EXPECT_NEAR(body_line(leaning(95.0), leaning(65.0)) / kDegree, 30.0, 1e-9);
  EXPECT_NEAR(body_line(leaning(70.0), leaning(82.0)) / kDegree, -12.0, 1e-9);
}

TEST(ArmAngles, ARoundedBackLeansFurtherAtItsUpperEnd) {
  EXPECT_NEAR(back_rounding(leaning(40.0), leaning(25.0)) / kDegree, 15.0, 1e-9);
  EXPECT_NEAR(back_rounding(leaning(20.0), leaning(25.0)) / kDegree, -5.0, 1e-9);
}

}  // namespace
}  // namespace strapline::dsp
