#include "strapline/dsp/joint_angles.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kDegree = std::numbers::pi / 180.0;

Quaterniond about_x(double a) { return exp_rotation({a, 0.0, 0.0}); }
Quaterniond about_y(double a) { return exp_rotation({0.0, a, 0.0}); }
Quaterniond about_z(double a) { return exp_rotation({0.0, 0.0, a}); }

TEST(JointAngles, ThighElevationCountsFromHorizontal) {
  EXPECT_NEAR(thigh_elevation(Quaterniond::Identity()), -90.0 * kDegree, 1e-12);
  EXPECT_NEAR(thigh_elevation(about_z(90.0 * kDegree)), 0.0, 1e-12);
  EXPECT_NEAR(thigh_elevation(about_z(110.0 * kDegree)), 20.0 * kDegree, 1e-12);
  EXPECT_NEAR(thigh_elevation(about_z(-5.0 * kDegree)), -85.0 * kDegree, 1e-12);
}

TEST(JointAngles, ThighElevationDoesNotDependOnHeading) {
  const Quaterniond q = about_z(70.0 * kDegree) * about_x(0.1);
  EXPECT_NEAR(thigh_elevation(about_y(0.7) * q), thigh_elevation(q), 1e-12);
}

TEST(JointAngles, KneeFlexionIsTheTurnBetweenTheSegments) {
  // The thigh turns positively about Z on the way down, the shank negatively.
  EXPECT_NEAR(knee_flexion(about_z(80.0 * kDegree), about_z(-30.0 * kDegree)), 110.0 * kDegree,
              1e-12);
}

// Source: Grood & Suntay 1983: the shank's own axial turn (the third angle) and ab-/adduction (the
// second) do not enter the first.
TEST(JointAngles, KneeFlexionIsTheFirstOfThreeGroodSuntayAngles) {
  const Quaterniond thigh = about_y(0.4) * about_z(1.2);
  for (const double side : {-0.2, 0.0, 0.15}) {
    const Quaterniond joint = about_z(-1.7) * about_x(side) * about_y(0.3);
    EXPECT_NEAR(knee_flexion(thigh, thigh * joint), 1.7, 1e-12);
  }
}

TEST(JointAngles, HipFlexionIsPositiveWithTheThighForward) {
  EXPECT_NEAR(hip_flexion(about_z(-20.0 * kDegree), about_z(80.0 * kDegree)), 100.0 * kDegree,
              1e-12);
}

TEST(JointAngles, AnkleFlexionIsPositiveWithTheShinOverTheToes) {
  EXPECT_NEAR(ankle_flexion(about_z(0.0), about_z(0.0)), 0.0, 1e-12);
  // A flat foot and a shin that leans forwards by 30° (negatively about Z).
  EXPECT_NEAR(ankle_flexion(about_z(-30.0 * kDegree), about_z(0.0)), 30.0 * kDegree, 1e-12);
  // An upright shin: toes up is positive, heel up (toes down) negative.
  EXPECT_NEAR(ankle_flexion(about_z(0.0), about_z(10.0 * kDegree)), 10.0 * kDegree, 1e-12);
  EXPECT_NEAR(ankle_flexion(about_z(0.0), about_z(-25.0 * kDegree)), -25.0 * kDegree, 1e-12);
}

// Sources: Wu et al. 2002, ankle (the first axis is the shank's Z, dorsiflexion positive about it);
// Grood & Suntay 1983: what the foot turns about its own Y and tips sideways does not enter.
TEST(JointAngles, AnkleFlexionIsTheFirstOfThreeGroodSuntayAngles) {
  const Quaterniond shank = about_y(-0.3) * about_z(-0.5) * about_x(0.1);
  for (const double tipped : {-0.2, 0.0, 0.15}) {
    const Quaterniond joint = about_z(0.45) * about_x(tipped) * about_y(0.25);
    EXPECT_NEAR(ankle_flexion(shank, shank * joint), 0.45, 1e-12);
  }
}

TEST(JointAngles, LeansArePositiveForwardsAndToTheRight) {
  EXPECT_NEAR(forward_lean(about_z(-0.3)), 0.3, 1e-12);
  EXPECT_NEAR(side_lean(about_x(0.2)), 0.2, 1e-12);
}

TEST(JointAngles, FrontalKneeAngleIsPositiveInwardsOnBothSides) {
  // Left knee moved to the right: the thigh's lower end goes to +Z, the shank's upper end too.
  const Quaterniond thigh = about_x(-0.10), shank = about_x(0.08);
  EXPECT_NEAR(frontal_knee_angle(thigh, shank, Side::left), 0.18, 1e-12);
  EXPECT_NEAR(frontal_knee_angle(about_x(0.10), about_x(-0.08), Side::right), 0.18, 1e-12);
}

TEST(JointAngles, FrontalKneeAngleHasNoValueNearHorizontal) {
  EXPECT_TRUE(std::isnan(frontal_knee_angle(about_z(50.0 * kDegree), about_z(-0.3), Side::left)));
  EXPECT_FALSE(std::isnan(frontal_knee_angle(about_z(40.0 * kDegree), about_z(-0.3), Side::left)));
}

}  // namespace
}  // namespace strapline::dsp
