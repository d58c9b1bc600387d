#include "../../dsp/src/leg_hinge.hpp"

#include <cmath>
#include <numbers>
#include <random>

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
  double tilt_thigh = 0.0;   ///< rad, of the thigh strap's world across the leg
  double tilt_shank = 0.0;   ///< same
};

constexpr double kHeading = 0.6;
constexpr double kTiltSd = 1.15 * kDegree;  // 20 mg of offset

double sd_of(const LegHinge& hinge, HingeError error) {
  return std::sqrt(hinge.covariance(error, error));
}

struct Fit {
  LegHinge hinge;
  double across_a, across_b;  ///< rad, errors of both axes towards up
  Vector3d up_a, up_b;        ///< while standing, sensors
  Quaterniond deepest_a;      ///< a's world from its sensor
  Vector3d axis;              ///< in b's world, square to which the thigh swings
  double sideways = sideways_with(hinge);

  /// rad, error of the thigh's direction against the shank's at depth.
  [[nodiscard]] double sideways_with(const LegHinge& h) const {
    const Vector3d& z = h.hinge.axis_a;
    const Vector3d y = (up_a - z * z.dot(up_a)).normalized();
    return std::asin((turn_about_vertical(-h.hinge.heading_a_from_b) * (deepest_a * y)).dot(axis));
  }
};

/// In the sensor, where the strap's world is tilted.
Vector3d up_while_still(const Quaterniond& stands, double tilt) {
  return (exp_rotation(tilt * Vector3d::UnitX()) * stands).conjugate() * world_up();
}

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
        turn_about_vertical(kHeading) * exp_rotation(leg.tilt_thigh * Vector3d::UnitX()) * stands *
        exp_rotation(thigh * Vector3d::UnitZ()) * exp_rotation(axial * Vector3d::UnitY()) *
        turned(leg.tissue_thigh, bend));
    b.q_world_from_sensor.push_back(exp_rotation(leg.tilt_shank * Vector3d::UnitX()) * stands *
                                    exp_rotation(-shank * Vector3d::UnitZ()) *
                                    turned(leg.tissue_shank, bend));
    samples.push_back(i);
  }
  a.known.assign(600, 1);
  b.known.assign(600, 1);
  const Vector3d up_a = up_while_still(stands, leg.tilt_thigh);
  const Vector3d up_b = up_while_still(stands, leg.tilt_shank);
  Hinge start;
  start.heading_a_from_b = kHeading + 2.0 * kDegree;
  start.axis_a = exp_rotation({0.03, -0.02, 0.0}) * Vector3d::UnitZ();
  start.axis_b = exp_rotation({-0.02, 0.03, 0.0}) * Vector3d::UnitZ();
  const LegHinge found = fit_leg_hinge(a, b, samples, start, up_a, up_b, Side::right,
                                       Eigen::Vector2d::Constant(kTiltSd), budget);
  const auto deepest = static_cast<std::size_t>(std::lround(10.0 * std::numbers::pi));
  const Vector3d axis =
      exp_rotation(leg.tilt_shank * Vector3d::UnitX()) * stands * Vector3d::UnitZ();
  return {found,
          found.hinge.axis_a.y(),
          found.hinge.axis_b.y(),
          up_a,
          up_b,
          a.q_world_from_sensor[deepest],
          axis};
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

TEST(LegHinge, WhoseAxisIsLessSquareIsLessSureToStaySo) {
  ErrorBudget bowed = plumb(0.0, 0.0);
  bowed.hinge_square = 3.0 * kDegree;
  const auto turns = [](const Fit& found) { return sd_of(found.hinge, kHingeTurns); };
  EXPECT_GT(turns(fit({}, bowed)), 2.0 * turns(fit({}, plumb(0.0, 0.0))));
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
  EXPECT_LT(std::abs(found.across_a), sd_of(found.hinge, kHingeAxisA));
  EXPECT_LT(std::abs(found.across_b), sd_of(found.hinge, kHingeAxisB));
  EXPECT_LT(sd_of(found.hinge, kHingeAxisA), 2.0 * kDegree) << "sure of something";
}

// A seventh or so of what large tissue turns a strap by about one axis. By chance one set may do
// better or worse, hence many.
TEST(LegHinge, LargeTissueIsNotTakenForATiltedAxis) {
  constexpr int kLegs = 60;
  const double thigh = 10.0 * kDegree, shank = 7.0 * kDegree;
  std::mt19937_64 bits(7);
  std::normal_distribution<double> normal;
  const auto draw = [&](double total) -> Vector3d {
    const double x = normal(bits), y = normal(bits), z = normal(bits);
    return total / std::sqrt(3.0) * Vector3d(x, y, z);
  };
  Eigen::Vector2d squares(0.0, 0.0), normalised(0.0, 0.0);
  for (int k = 0; k < kLegs; ++k) {
    Leg leg;
    leg.tissue_thigh = draw(thigh);
    leg.tissue_shank = draw(shank);
    const Fit found = fit(leg, plumb(thigh, shank));
    const Eigen::Array2d error(found.across_a, found.across_b);
    const Eigen::Array2d u(sd_of(found.hinge, kHingeAxisA), sd_of(found.hinge, kHingeAxisB));
    squares += error.square().matrix() / kLegs;
    normalised += (error / u).square().matrix() / kLegs;
  }
  EXPECT_LT(std::sqrt(squares.maxCoeff()), thigh / std::sqrt(3.0) / 6.5);
  EXPECT_LT(normalised.maxCoeff(), 1.0);
}

// An accelerometer's offset along the hinge tilts what a strap takes for the world; of both straps
// alike it looks like another slant.
TEST(LegHinge, AWorldThatIsTiltedIsWithinTheStatedUncertainty) {
  Leg leg;
  leg.tilt_thigh = leg.tilt_shank = 1.0 * kDegree;
  const Fit found = fit(leg, plumb(0.0, 0.0));
  EXPECT_LT(std::abs(found.across_b), 1.96 * sd_of(found.hinge, kHingeAxisB));
  EXPECT_NEAR(found.hinge.tilt_b, leg.tilt_shank, 1.96 * sd_of(found.hinge, kHingeTiltB));
  EXPECT_LT(sd_of(found.hinge, kHingeTiltB), kTiltSd);
}

// A slant that is not the usual one is in part taken for the knee's own turns, and with that the
// thigh's heading is off, till the knee's path tells how high the shank's axis points.
TEST(LegHinge, WhatTheKneesPathTellsPutsTheThighsHeadingRight) {
  Leg leg;
  leg.slant = 0.0;
  const Fit found = fit(leg, plumb(0.0, 0.0));
  EXPECT_GT(std::abs(found.sideways), 1.0 * kDegree) << "nothing to put right";
  const double too_high = found.across_b + found.hinge.tilt_b, variance = 1e-6;
  const LegHinge told = with_axis_b(found.hinge, too_high, variance, found.up_a, found.up_b);
  EXPECT_NEAR(found.sideways_with(told), 0.0, 0.25 * std::abs(found.sideways));
}

TEST(LegHinge, WhatIsKnownOfOneAxisTellsOfTheOther) {
  LegHinge leg;
  leg.covariance.setIdentity();
  const auto tie = [&](HingeError with, double share) {
    leg.covariance(with, kHingeAxisB) = leg.covariance(kHingeAxisB, with) = share;
  };
  tie(kHingeAxisA, 0.5);
  tie(kHingeHeading, -0.5);
  leg.covariance.row(kHingeTiltB).setZero();
  leg.covariance.col(kHingeTiltB).setZero();
  leg.covariance *= 4e-4;
  const LegHinge told = with_axis_b(leg, 0.01, 1e-4, Vector3d::UnitY(), Vector3d::UnitY());
  EXPECT_NEAR(told.hinge.axis_b.y(), -0.01, 1e-6);
  EXPECT_NEAR(told.hinge.axis_a.y(), -0.005, 1e-6);
  EXPECT_NEAR(told.hinge.heading_a_from_b, 0.005, 1e-12);
  EXPECT_EQ(told.tilt_b, 0.0);
  EXPECT_NEAR(sd_of(told, kHingeAxisB), 0.01, 1e-12);
  EXPECT_NEAR(sd_of(told, kHingeAxisA), std::sqrt(4e-4 - 0.25 * 3e-4), 1e-12);
  EXPECT_NEAR(told.covariance(kHingeAxisA, kHingeAxisB), 0.5e-4, 1e-12);
}

TEST(LegHinge, AnAxisThatLooksTooHighMayBeTheWorldsTilt) {
  LegHinge leg;
  leg.covariance.setIdentity();
  leg.covariance(kHingeTiltB, kHingeTiltB) = 3.0;
  leg.covariance *= 1e-4;
  EXPECT_NEAR(too_high_variance(leg), 4e-4, 1e-15);
  const LegHinge told = with_axis_b(leg, 0.02, 0.0, Vector3d::UnitY(), Vector3d::UnitY());
  EXPECT_NEAR(told.hinge.axis_b.y(), -0.005, 1e-6);
  EXPECT_NEAR(told.tilt_b, -0.015, 1e-12);
  EXPECT_NEAR(too_high_variance(told), 0.0, 1e-15);
}

}  // namespace
}  // namespace strapline::dsp
