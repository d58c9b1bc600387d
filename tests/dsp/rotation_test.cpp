#include "strapline/dsp/rotation.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;

Vector3d random_vector(double scale) {
  const auto component = [&] { return scale * (*rc::gen::inRange(-1000, 1001)) / 1000.0; };
  return {component(), component(), component()};
}

TEST(Rotation, LogInvertsExpFromTinyToAlmostAHalfTurn) {
  EXPECT_TRUE(rc::check([] {
    for (const double scale : {1.0, 1e-8, 1e-12}) {
      Vector3d v = random_vector(scale);
      if (v.norm() > 3.1) v *= 3.1 / v.norm();
      RC_ASSERT((log_rotation(exp_rotation(v)) - v).norm() <=
                1e-12 * std::max(1e-3, v.norm()) + 1e-22);
    }
  }));
}

TEST(Rotation, LogIgnoresTheSignOfTheQuaternion) {
  const Quaterniond q = exp_rotation({0.3, -0.2, 1.1});
  EXPECT_LT((log_rotation(Quaterniond(-q.coeffs())) - log_rotation(q)).norm(), 1e-14);
}

TEST(Rotation, SkewIsTheCrossProduct) {
  EXPECT_TRUE(rc::check([] {
    const Vector3d a = random_vector(3.0), b = random_vector(3.0);
    RC_ASSERT((skew(a) * b - a.cross(b)).norm() < 1e-12);
  }));
}

TEST(Rotation, HeadingIsWhatATurnAboutTheVerticalAdds) {
  EXPECT_TRUE(rc::check([] {
    const double angle = 3.1 * (*rc::gen::inRange(-1000, 1001)) / 1000.0;
    const Vector3d flat = random_vector(0.6).cwiseProduct(Vector3d(1.0, 0.0, 1.0));
    RC_ASSERT(std::abs(wrap_angle(heading_of(turn_about_vertical(angle) * exp_rotation(flat)) -
                                  angle)) < 1e-9);
  }));
}

TEST(Rotation, LevelTakesTheMeasuredUpToUp) {
  EXPECT_TRUE(rc::check([] {
    const Vector3d up = random_vector(9.0);
    RC_PRE(up.norm() > 1e-3);
    RC_ASSERT((level(up) * up.normalized() - world_up()).norm() < 1e-9);
  }));
}

TEST(Rotation, WrapKeepsPiAndTurnsTheRest) {
  EXPECT_DOUBLE_EQ(wrap_angle(std::numbers::pi), std::numbers::pi);
  EXPECT_DOUBLE_EQ(wrap_angle(-std::numbers::pi), std::numbers::pi);
  EXPECT_NEAR(wrap_angle(7.0), 7.0 - 2.0 * std::numbers::pi, 1e-12);
}

TEST(Rotation, TheSeriesOfASmallTurnEqualsSineAndCosine) {
  for (const double angle : {0.0, 1e-9, 0.01, 0.1, 0.199, 0.201, 2.0}) {
    const Eigen::Vector3d turn = angle * Eigen::Vector3d(2.0, -3.0, 6.0) / 7.0;
    EXPECT_LT((exp_small_rotation(turn).coeffs() - exp_rotation(turn).coeffs()).norm(), 1e-12)
        << angle;
  }
}

TEST(Rotation, WhatIsNearlyOfLengthOneIsBroughtToIt) {
  const Eigen::Quaterniond q = exp_rotation({0.3, -1.2, 0.7});
  for (const double off : {-1e-6, 1e-9, 1e-6}) {
    const Eigen::Quaterniond back = renormalized(Eigen::Quaterniond((1.0 + off) * q.coeffs()));
    EXPECT_NEAR(back.norm(), 1.0, 2.0 * off * off + 1e-15);
    EXPECT_LT((back.coeffs() - q.coeffs()).norm(), 2.0 * off * off + 1e-15);
  }
}

}  // namespace
}  // namespace strapline::dsp
