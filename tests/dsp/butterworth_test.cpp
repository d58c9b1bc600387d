#include "strapline/dsp/butterworth.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

constexpr double kTenDigits = 5e-11;

// Source: bilinear transform, as any signal library gives it (SciPy signal.butter(2, 2·0.05)).
TEST(Butterworth, CoefficientsAtOneTwentieth) {
  const Biquad s = butterworth_lowpass(0.05, 1.0);
  EXPECT_NEAR(s.b0, 0.0200833656, kTenDigits);
  EXPECT_NEAR(s.b1, 0.0401667311, kTenDigits);
  EXPECT_NEAR(s.b2, 0.0200833656, kTenDigits);
  EXPECT_NEAR(s.a1, -1.5610180758, kTenDigits);
  EXPECT_NEAR(s.a2, 0.6413515381, kTenDigits);
}

// Source: as above, cutoff 0.06.
TEST(Butterworth, CoefficientsAtSixHundredths) {
  const Biquad s = butterworth_lowpass(0.06, 1.0);
  EXPECT_NEAR(s.b0, 0.0278597661, kTenDigits);
  EXPECT_NEAR(s.a1, -1.4754804436, kTenDigits);
  EXPECT_NEAR(s.a2, 0.5869195081, kTenDigits);
}

// Source: the same coefficients worked by hand through the difference equation.
TEST(Butterworth, ThreeSamples) {
  const Eigen::VectorXd y = filter(butterworth_lowpass(0.05, 1.0), Eigen::Vector3d(-1.0, 0.5, 1.0));
  EXPECT_NEAR(y[0], -0.0200834, 5e-8);
  EXPECT_NEAR(y[1], -0.0614755, 5e-8);
  EXPECT_NEAR(y[2], -0.0630006, 5e-8);
}

// Source: Winter, Biomechanics and Motor Control of Human Movement: 6 Hz at 200 Hz.
TEST(Butterworth, TwoPassCutoff) { EXPECT_NEAR(two_pass_cutoff(6.0, 200.0), 7.4668, 5e-5); }

TEST(Butterworth, TwoPassesLoseThreeDecibelsAtTheCutoff) {
  const double rate = 200.0, cutoff = 6.0;
  Eigen::VectorXd x(4000);
  for (Eigen::Index i = 0; i < x.size(); ++i) {
    x[i] = std::sin(2.0 * std::numbers::pi * cutoff * static_cast<double>(i) / rate);
  }
  const Eigen::VectorXd y = smooth_lowpass(x, cutoff, rate).segment(1000, 2000);
  EXPECT_NEAR(y.cwiseAbs().maxCoeff(), std::sqrt(0.5), 1e-3);
  // Zero lag: the output is the input times the gain, at every sample.
  EXPECT_LT((y - std::sqrt(0.5) * x.segment(1000, 2000)).cwiseAbs().maxCoeff(), 2e-3);
}

TEST(Butterworth, ConstantsAndRampsPassUnchanged) {
  const Eigen::VectorXd ramp = Eigen::VectorXd::LinSpaced(400, -3.0, 5.0);
  EXPECT_LT((smooth_lowpass(ramp, 5.0, 100.0) - ramp).cwiseAbs().maxCoeff(), 1e-6);
}

}  // namespace
}  // namespace strapline::dsp
