#include <gtest/gtest.h>

#include "jet.hpp"
#include "smooth.hpp"

namespace strapline::recordings::synthetic {
namespace {

void expect_equal(const Jet& a, const Jet& b, double tolerance) {
  EXPECT_NEAR(a.v, b.v, tolerance);
  EXPECT_NEAR(a.d, b.d, tolerance);
  EXPECT_NEAR(a.dd, b.dd, tolerance);
}

const Jet kA{0.7, -1.3, 2.1};
const Jet kB{-1.9, 0.4, -0.8};

TEST(Jet, DivisionUndoesMultiplication) { expect_equal(kA * kB / kB, kA, 1e-14); }

TEST(Jet, SquareOfTheRoot) { expect_equal(sqrt(kA) * sqrt(kA), kA, 1e-14); }

TEST(Jet, SineAndCosineStayOnTheCircle) {
  expect_equal(sin(kA) * sin(kA) + cos(kA) * cos(kA), Jet(1.0), 1e-14);
}

TEST(Jet, ArcsineUndoesSine) { expect_equal(asin(sin(kA)), kA, 1e-13); }

TEST(Jet, ExponentialOfASumIsTheProduct) { expect_equal(exp(kA + kB), exp(kA) * exp(kB), 1e-13); }

// d/dt sin(t³) = 3t² cos(t³); second: 6t cos(t³) − 9t⁴ sin(t³).
TEST(Jet, ChainRuleAgainstPaper) {
  const double t = 0.8;
  const Jet time = Jet::time(t);
  const double c = t * t * t;
  expect_equal(sin(time * time * time),
               {std::sin(c), 3.0 * t * t * std::cos(c),
                6.0 * t * std::cos(c) - 9.0 * t * t * t * t * std::sin(c)},
               1e-14);
}

TEST(Smoothstep, MeetsBothEndsWithThreeDerivatives) {
  // The third derivative, differenced from the exact second, vanishes with the distance.
  for (const double x : {0.0, 1.0}) {
    const double inside = x == 0.0 ? 1e-5 : 1.0 - 1e-5;
    const Jet s = smoothstep(Jet::time(inside));
    EXPECT_NEAR(s.v, x, 1e-14);  // the coefficients reach 84
    EXPECT_NEAR(s.d, 0.0, 1e-12);
    EXPECT_NEAR(s.dd, 0.0, 1e-7);
    EXPECT_NEAR(s.dd / 1e-5, 0.0, 0.01);
  }
  expect_equal(smoothstep(Jet::time(-0.1)), Jet(0.0), 0.0);
  expect_equal(smoothstep(Jet::time(1.1)), Jet(1.0), 0.0);
  expect_equal(bump(Jet::time(0.5)), {1.0, 0.0, -32.0}, 1e-12);
}

TEST(Smoothstep, OnsetShareIsWhereTheRateIsFivePercentOfItsPeak) {
  const double peak = smoothstep(Jet::time(0.5)).d;
  EXPECT_NEAR(peak, 35.0 / 16.0, 1e-12);
  EXPECT_NEAR(smoothstep(Jet::time(kOnsetShare)).d / peak, 0.05, 1e-4);
  EXPECT_NEAR(smoothstep(Jet::time(1.0 - kOnsetShare)).d / peak, 0.05, 1e-4);
}

TEST(Smoothstep, SkewedStepIsMonotone) {
  for (const double skew : {-0.13, 0.13}) {
    for (double x = 0.001; x < 1.0; x += 0.001) {
      EXPECT_GT(skewed_step(Jet::time(x), skew).d, 0.0);
    }
  }
}

}  // namespace
}  // namespace strapline::recordings::synthetic
