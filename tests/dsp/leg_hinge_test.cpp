#include "../../dsp/src/leg_hinge.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;

/// Squats of a right leg whose hinge lies level but for its slant. Straps sit on the bones, their
/// worlds one apart by kHeading; `thigh_strap` and `shank_strap` turn them further with the bend.
struct Leg {
  double slant = 3.0 * kDegree;              ///< of a standing leg inwards
  Vector3d tissue_thigh = Vector3d::Zero();  ///< rad at full flexion, about the strap's axes
  Vector3d tissue_shank = Vector3d::Zero();  ///< same
  double axial_curve = 0.0;                  ///< rad, of sin 2πb, of the thigh about its length
  double axial_early = 0.0;  ///< rad, same, most of it in the first 20° of the bend
};

constexpr double kHeading = 0.6;

struct Fit {
  LegHinge hinge;
  double across_a, across_b;  ///< rad, errors of both axes towards up
  double sideways;            ///< rad, error of the thigh's direction against the shank's at depth
};

Quaterniond turned(const Vector3d& tissue, double bend) { return exp_rotation(bend * tissue); }

Fit fit(const Leg& leg, const ErrorBudget& budget) {
  GridMotion a, b;
  std::vector<Eigen::Index> samples;
  const Quaterniond stands = exp_rotation(-leg.slant * Vector3d::UnitX());
  for (int i = 0; i < 600; ++i) {
    const double s = 0.5 * (1.0 - std::cos(0.1 * i));
    const double thigh = 80.0 * kDegree * s, shank = 30.0 * kDegree * s;
    const double bend = (thigh + shank) / kFullFlexion;
    const double early = (thigh + shank) / (20.0 * kDegree);
    const double axial = leg.axial_curve * std::sin(2.0 * std::numbers::pi * bend) +
                         leg.axial_early * early / (1.0 + early);
    a.q_world_from_sensor.push_back(
        turn_about_vertical(kHeading) * stands * exp_rotation(thigh * Vector3d::UnitZ()) *
        exp_rotation(axial * Vector3d::UnitY()) * turned(leg.tissue_thigh, bend));
    b.q_world_from_sensor.push_back(stands * exp_rotation(-shank * Vector3d::UnitZ()) *
                                    turned(leg.tissue_shank, bend));
    samples.push_back(i);
  }
  a.known.assign(600, 1);
  b.known.assign(600, 1);
  const Vector3d up = stands.conjugate() * world_up();
  Hinge start;
  start.heading_a_from_b = kHeading + 2.0 * kDegree;
  start.axis_a = exp_rotation({0.03, -0.02, 0.0}) * Vector3d::UnitZ();
  start.axis_b = exp_rotation({-0.02, 0.03, 0.0}) * Vector3d::UnitZ();
  const LegHinge found = fit_leg_hinge(a, b, samples, start, up, up, Side::right, budget);
  const auto deepest = static_cast<std::size_t>(std::lround(10.0 * std::numbers::pi));
  const Vector3d& z = found.hinge.axis_a;
  const Vector3d seen = turn_about_vertical(-found.hinge.heading_a_from_b) *
                        (a.q_world_from_sensor[deepest] * (up - z * z.dot(up)).normalized());
  const Vector3d axis = stands * Vector3d::UnitZ();  // square to which the thigh swings
  return {found, z.y(), found.hinge.axis_b.y(), std::asin(seen.dot(axis))};
}

/// A client who stands plumb, whose axes are square and whose tissue is as stated.
ErrorBudget plumb(double tissue_thigh, double tissue_shank) {
  ErrorBudget budget;
  budget.hinge_square = 0.0;
  budget.soft_tissue_thigh = tissue_thigh;
  budget.soft_tissue_limb = tissue_shank;
  return budget;
}

TEST(LegHinge, OfARigidLegIsFoundAsItIs) {
  const Fit found = fit({}, plumb(0.0, 0.0));
  EXPECT_NEAR(found.across_a, 0.0, 0.1 * kDegree);
  EXPECT_NEAR(found.across_b, 0.0, 0.1 * kDegree);
  EXPECT_NEAR(found.sideways, 0.0, 0.1 * kDegree);
}

TEST(LegHinge, AKneeThatIsNoHingeIsNotTakenForATiltedAxis) {
  Leg leg;
  leg.axial_curve = 1.0 * kDegree;
  const Fit found = fit(leg, plumb(0.0, 0.0));
  EXPECT_LT(std::abs(found.across_a), 0.1 * kDegree);
  EXPECT_LT(std::abs(found.across_b), 0.1 * kDegree);
  EXPECT_LT(std::abs(found.sideways), 0.3 * kDegree);
}

// Of a shape that the fit does not hold it takes some for a tilt, but is no surer than right.
TEST(LegHinge, AKneeOfAnotherShapeIsWithinTheStatedUncertainty) {
  Leg leg;
  leg.axial_early = 1.0 * kDegree;
  const Fit found = fit(leg, plumb(0.0, 0.0));
  EXPECT_LT(std::abs(found.across_a), found.hinge.across_a_u);
  EXPECT_LT(std::abs(found.across_b), found.hinge.across_b_u);
  EXPECT_LT(found.hinge.across_a_u, 2.0 * kDegree) << "sure of something";
}

TEST(LegHinge, LargeTissueIsNotTakenForATiltedAxis) {
  Leg leg;
  leg.tissue_thigh = Vector3d(6.0, -5.0, 6.0) * kDegree;
  leg.tissue_shank = Vector3d(-4.0, 3.0, 5.0) * kDegree;
  const Fit found = fit(leg, plumb(10.0 * kDegree, 7.0 * kDegree));
  EXPECT_LT(std::abs(found.across_a), 0.7 * kDegree);
  EXPECT_LT(std::abs(found.across_b), 0.7 * kDegree);
  EXPECT_LT(std::abs(found.across_a), found.hinge.across_a_u);
}

TEST(LegHinge, WhatIsKnownOfOneAxisTellsOfTheOther) {
  LegHinge leg;
  leg.covariance.setIdentity();
  leg.covariance(0, 1) = leg.covariance(1, 0) = 0.5;
  leg.covariance(2, 1) = leg.covariance(1, 2) = -0.5;
  leg.covariance *= 4e-4;
  const LegHinge told = with_axis_b(leg, 0.01, 1e-4, Vector3d::UnitY(), Vector3d::UnitY());
  EXPECT_NEAR(told.hinge.axis_b.y(), -0.01, 1e-6);
  EXPECT_NEAR(told.hinge.axis_a.y(), -0.005, 1e-6);
  EXPECT_EQ(told.hinge.heading_a_from_b, 0.0);
  EXPECT_NEAR(told.across_b_u, 0.01, 1e-12);
  EXPECT_NEAR(told.across_a_u, std::sqrt(4e-4 - 0.25 * 3e-4), 1e-12);
  EXPECT_NEAR(told.covariance(0, 1), 0.5e-4, 1e-12);
}

}  // namespace
}  // namespace strapline::dsp
