#include "../../dsp/src/tilt_change.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;

constexpr double kGravity = kStandardGravity;
constexpr double kFloor = OrientationParams{}.tilt_floor;

/// What the accelerometer's offset (sensor, m/s²) makes of the tilt about the world's X and Z.
Eigen::Matrix<double, 2, 3> tilt_by_offset(const Quaterniond& q_world_from_sensor) {
  Eigen::Matrix<double, 2, 3> by;
  by.row(0) = q_world_from_sensor.conjugate() * Vector3d::UnitX().cross(world_up()) / kGravity;
  by.row(1) = q_world_from_sensor.conjugate() * Vector3d::UnitZ().cross(world_up()) / kGravity;
  return by;
}

/// A strap that sits `mounted` on its segment and, from standing, has turned by `turn`. Its
/// accelerometer's offset is known to `offset` (m/s², one sigma, sensor axes) and nothing links the
/// two tilts but that; nothing else is uncertain of them.
PreparedStrap turned_strap(const Quaterniond& turn, const Vector3d& offset,
                           const Quaterniond& mounted = Quaterniond::Identity()) {
  PreparedStrap strap;
  strap.gyr_gain_sd = 1.0;  // no link, unless a test says so
  strap.alignment = SegmentAlignment{};
  strap.alignment->q_sensor_from_segment = mounted;
  strap.q_world_from_segment = {Quaterniond::Identity(), turn};
  const Matrix3d covariance = offset.cwiseAbs2().asDiagonal();
  strap.acc_bias_covariance = covariance;
  const auto stood = tilt_by_offset(mounted.conjugate());
  strap.motion.tilt_covariance = Eigen::Matrix3Xd::Zero(3, 2);
  strap.motion.tilt_with_reference = Eigen::Matrix4Xd::Zero(4, 2);
  const auto packed = [](const Eigen::Matrix2d& c) { return Vector3d(c(0, 0), c(0, 1), c(1, 1)); };
  strap.still_tilt = packed(stood * covariance * stood.transpose());
  for (Eigen::Index i = 0; i < 2; ++i) {
    const auto now = tilt_by_offset(strap.q_world_from_segment[static_cast<std::size_t>(i)] *
                                    mounted.conjugate());
    const Eigen::Matrix2d with = stood * covariance * now.transpose();
    strap.motion.tilt_covariance.col(i) = packed(now * covariance * now.transpose());
    strap.motion.tilt_with_reference.col(i) << with(0, 0), with(0, 1), with(1, 0), with(1, 1);
  }
  return strap;
}

double u_deg(const PreparedStrap& strap, const Vector3d& gradient) {
  const double level = gradient.x() * gradient.x() + gradient.z() * gradient.z();
  const double variance =
      TiltChange(strap).variance_since_still(1, gradient) - level * kFloor * kFloor;
  return std::sqrt(std::max(0.0, variance)) / kDegree;
}

// What an offset does, drawn and levelled: the strap's up is where the specific force points, and
// what stood upright in the still part is the segment's.
TEST(TiltChange, IsWhatDrawnOffsetsDo) {
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  const auto levelled = [](const Quaterniond& truth, const Vector3d& offset) {
    const Vector3d force = truth.conjugate() * (kGravity * world_up()) + offset;
    return Quaterniond(Quaterniond::FromTwoVectors(truth * force, world_up()) * truth);
  };
  for (int k = 0; k < 12; ++k) {
    const auto vector = [&] { return Vector3d(normal(random), normal(random), normal(random)); };
    const Quaterniond mounted = exp_rotation(vector()), turn = exp_rotation(vector());
    const Vector3d sd(0.05, 0.1, 0.15);
    const Vector3d gradient = vector();
    const PreparedStrap strap = turned_strap(turn, sd, mounted);
    double squares = 0.0;
    constexpr int kDraws = 4000;
    for (int n = 0; n < kDraws; ++n) {
      const Vector3d offset = sd.cwiseProduct(vector());
      const Quaterniond stood = levelled(mounted.conjugate(), offset) * mounted;
      const Quaterniond now =
          levelled(turn * mounted.conjugate(), offset) * mounted * stood.conjugate();
      const double error = gradient.dot(log_rotation(now * turn.conjugate()));
      squares += error * error / kDraws;
    }
    const double level = gradient.x() * gradient.x() + gradient.z() * gradient.z();
    const double stated =
        TiltChange(strap).variance_since_still(1, gradient) - level * kFloor * kFloor;
    EXPECT_NEAR(std::sqrt(stated), std::sqrt(squares), 0.05 * std::sqrt(squares)) << k;
  }
}

// Bent forwards, a segment's lean across is nearly as wrong as it was while standing.
TEST(TiltChange, AcrossAForwardLeanTheOffsetNearlyCancels) {
  const Vector3d one_degree = Vector3d::Constant(kDegree * kGravity);
  const Quaterniond lean = exp_rotation(-30.0 * kDegree * Vector3d::UnitZ());
  const PreparedStrap strap = turned_strap(lean, one_degree);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitX()), 1.0 - std::cos(30.0 * kDegree), 1e-6);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitZ()), 2.0 * std::sin(15.0 * kDegree), 1e-6);
}

// Standing, an offset along the bow's axis was taken for how the trunk's strap sits; lying prone it
// tips the trunk sideways, and what it was off across while standing now points the trunk aside.
TEST(TiltChange, WhoLiesProneHasTheWholeOffsetInTheRollAndInTheHeading) {
  const Quaterniond prone = exp_rotation(-90.0 * kDegree * Vector3d::UnitZ());
  const PreparedStrap strap = turned_strap(prone, {0.0, 0.0, 1.1 * kDegree * kGravity});
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitX()), 1.1, 1e-6);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitY()), 1.1, 1e-6);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitZ()), 0.0, 1e-6);
}

// An upper arm's hinge gives half of its tilt across, whose error does not come from standing.
TEST(TiltChange, OnlyItsShareOfStandingTurnsWithTheSegment) {
  const Quaterniond prone = exp_rotation(-90.0 * kDegree * Vector3d::UnitZ());
  PreparedStrap strap = turned_strap(prone, {0.0, 0.0, 1.1 * kDegree * kGravity});
  strap.alignment->standing_share = 0.5;
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitX()), 1.1, 1e-6);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitY()), 0.55, 1e-6);
}

TEST(TiltChange, BetweenPosturesItIsKnownAsWellAsTheGyroscopesGain) {
  const Quaterniond prone = exp_rotation(-90.0 * kDegree * Vector3d::UnitZ());
  PreparedStrap strap = turned_strap(prone, Vector3d::Constant(2.0 * kDegree * kGravity));
  const auto between = [&] {
    return std::sqrt(TiltChange(strap).variance_between(0, 1) - kFloor * kFloor) / kDegree;
  };
  EXPECT_NEAR(between(), 2.0 * std::sqrt(2.0), 1e-6);
  strap.gyr_gain_sd = 0.005;
  EXPECT_NEAR(between(), 0.45, 1e-6);
}

TEST(TiltChange, WhatIsUncertainBesideTheOffsetCountsAtBothEnds) {
  PreparedStrap strap = turned_strap(Quaterniond::Identity(), Vector3d::Zero());
  const double tenth = 0.1 * kDegree;
  strap.motion.tilt_covariance.col(1) = Vector3d(tenth * tenth, 0.0, tenth * tenth);
  strap.still_tilt = Vector3d(tenth * tenth, 0.0, tenth * tenth);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitX()), 0.1 * std::sqrt(2.0), 1e-6);
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitY()), 0.0, 1e-9);  // heading: not counted here
  const double both = 0.009 * kDegree * kDegree;            // they go together, nearly
  strap.motion.tilt_with_reference.col(1) << both, 0.0, 0.0, both;
  EXPECT_NEAR(u_deg(strap, Vector3d::UnitX()), std::sqrt(0.002), 1e-6);
}

// The hinge tells of the offset along it, and of what was off across the leg while standing.
TEST(TiltChange, BesideAHingeNeitherTheOffsetAlongItNorTheStillPartCounts) {
  const Quaterniond lean = exp_rotation(-40.0 * kDegree * Vector3d::UnitZ());
  PreparedStrap strap = turned_strap(lean, {0.0, 0.0, kDegree * kGravity});
  const auto beside = [&](const Vector3d& g) {
    return TiltChange(strap).variance_beside_hinge(1, g) / (kFloor * kFloor);
  };
  EXPECT_GT(u_deg(strap, Vector3d::UnitX()), 0.2);
  EXPECT_NEAR(beside(Vector3d::UnitX()), 1.0, 1e-9);
  // About the hinge it is as ever, but for the still part.
  strap = turned_strap(lean, Vector3d::Constant(kDegree * kGravity));
  EXPECT_NEAR(beside(Vector3d::UnitZ()) * kFloor * kFloor,
              TiltChange(strap).variance_since_still(1, Vector3d::UnitZ()), 1e-9);
}

TEST(TiltChange, BetweenTwoPosturesOfTheSetItIsAboutTheTurnsOwnAxis) {
  const Quaterniond squat = exp_rotation(100.0 * kDegree * Vector3d::UnitX());
  const PreparedStrap strap = turned_strap(squat, {0.0, kDegree * kGravity, kDegree * kGravity});
  const double chord = 2.0 * std::sin(50.0 * kDegree);
  EXPECT_NEAR(std::sqrt(TiltChange(strap).variance_between(0, 1) - kFloor * kFloor) / kDegree,
              chord, 1e-6);
}

// Each of six cross-axis entries shows 0.3 % of gravity: lying prone two of them are off by that.
TEST(TiltChange, AnAccelerometersCrossAxisErrorCountsWhereTheStrapIsHeldInAnotherPosture) {
  const Quaterniond prone = exp_rotation(-90.0 * kDegree * Vector3d::UnitZ());
  PreparedStrap held, moving;
  held.q_world_from_segment.assign(2001, prone);
  moving.q_world_from_segment.assign(2001, Quaterniond::Identity());
  for (std::size_t i = 980; i <= 1020; ++i) moving.q_world_from_segment[i] = prone;
  for (PreparedStrap* strap : {&held, &moving}) {
    strap->held_over = held_over(strap->q_world_from_segment);
  }
  const auto u = [](const PreparedStrap& strap, const Vector3d& gradient) {
    return std::sqrt(cross_axis_variance(strap, 1000, gradient));
  };
  EXPECT_NEAR(u(held, Vector3d::UnitZ()), 0.003 * std::sqrt(2.0), 1e-9);
  EXPECT_NEAR(u(held, Vector3d::UnitY()), 0.0, 1e-12);
  EXPECT_LT(u(moving, Vector3d::UnitZ()), 0.2 * u(held, Vector3d::UnitZ()));
  held.acc_cross_axis_sd = 0.01;  // an old cheap part's
  EXPECT_NEAR(u(held, Vector3d::UnitZ()), 0.01 * std::sqrt(2.0), 1e-9);
}

}  // namespace
}  // namespace strapline::dsp
