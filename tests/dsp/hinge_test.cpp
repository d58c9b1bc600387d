#include "strapline/dsp/hinge.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;

/// Two segments that share a hinge, which itself tilts and turns while they move; each strap sees
/// its own world, turned about the vertical.
struct Pair {
  GridMotion a, b;
  std::vector<Eigen::Index> samples;
};

const Vector3d kAxisA = Vector3d(0.3, -0.2, 1.0).normalized();
const Vector3d kAxisB = Vector3d(-0.4, 0.1, 0.9).normalized();
constexpr double kHeading = 0.6;

Pair hinged(double furthest, double wobble) {
  Pair p;
  const Quaterniond mount_a = Quaterniond::FromTwoVectors(kAxisA, Vector3d::UnitZ());
  const Quaterniond mount_b = Quaterniond::FromTwoVectors(kAxisB, Vector3d::UnitZ());
  for (int i = 0; i < 200; ++i) {
    const double s = 0.5 * (1.0 - std::cos(0.1 * i));
    const Quaterniond hinge_frame = exp_rotation({0.2 * s, 0.1 * s, 0.0});
    const Quaterniond thigh = hinge_frame * exp_rotation({0.0, 0.0, furthest * s});
    const Quaterniond shank =
        hinge_frame * exp_rotation({wobble * std::sin(6.0 * s), 0.0, -0.3 * furthest * s});
    p.a.q_world_from_sensor.push_back(turn_about_vertical(kHeading) * thigh * mount_a);
    p.b.q_world_from_sensor.push_back(shank * mount_b);
    p.samples.push_back(i);
  }
  p.a.known.assign(200, 1);
  p.b.known.assign(200, 1);
  return p;
}

double line_angle(const Vector3d& a, const Vector3d& b) { return std::asin(a.cross(b).norm()); }

TEST(Hinge, FindsBothAxesAndTheHeading) {
  const Pair p = hinged(80.0 * kDegree, 0.0);
  const auto hinge = find_hinge(p.a, p.b, p.samples, 0.4);
  ASSERT_TRUE(hinge);
  EXPECT_LT(line_angle(hinge->axis_a, kAxisA), 0.1 * kDegree);
  EXPECT_LT(line_angle(hinge->axis_b, kAxisB), 0.1 * kDegree);
  EXPECT_NEAR(hinge->heading_a_from_b, kHeading, 0.1 * kDegree);
  EXPECT_LT(hinge->mismatch, 0.1 * kDegree);
}

TEST(Hinge, TheSignsOfTheAxesAreTied) {
  const Pair p = hinged(80.0 * kDegree, 0.0);
  const auto hinge = find_hinge(p.a, p.b, p.samples, 0.4);
  ASSERT_TRUE(hinge);
  EXPECT_GT(hinge->axis_a.dot(kAxisA) * hinge->axis_b.dot(kAxisB), 0.0);
}

TEST(Hinge, AKneeThatIsNoPureHingeShowsInTheMismatch) {
  const Pair p = hinged(80.0 * kDegree, 4.0 * kDegree);
  const auto hinge = find_hinge(p.a, p.b, p.samples, 0.4);
  ASSERT_TRUE(hinge);
  EXPECT_GT(hinge->mismatch, 0.5 * kDegree);
  EXPECT_LT(hinge->mismatch, 4.0 * kDegree);
}

TEST(Hinge, RefusesSegmentsThatHardlyTurnAgainstEachOther) {
  const Pair p = hinged(10.0 * kDegree, 0.0);
  const auto hinge = find_hinge(p.a, p.b, p.samples, 0.4);
  ASSERT_FALSE(hinge);
  EXPECT_EQ(hinge.error(), NoHinge::hardly_turns);
}

TEST(Hinge, RefusesAVerticalAxis) {
  Pair p = hinged(80.0 * kDegree, 0.0);
  const Quaterniond upright = Quaterniond::FromTwoVectors(Vector3d::UnitZ(), world_up());
  const Quaterniond level_a = turn_about_vertical(-kHeading);
  for (std::size_t i = 0; i < 200; ++i) {
    p.a.q_world_from_sensor[i] = upright * level_a * p.a.q_world_from_sensor[i];
    p.b.q_world_from_sensor[i] = upright * p.b.q_world_from_sensor[i];
  }
  const auto hinge = find_hinge(p.a, p.b, p.samples, 0.0);
  ASSERT_FALSE(hinge);
  EXPECT_EQ(hinge.error(), NoHinge::vertical_axis);
}

}  // namespace
}  // namespace strapline::dsp
