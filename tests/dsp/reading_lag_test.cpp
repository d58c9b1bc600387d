#include "strapline/dsp/reading_lag.hpp"

#include <gtest/gtest.h>

#include "strapline/dsp/inertial_series.hpp"

namespace strapline::dsp {
namespace {

/// The mean of N samples, the last of which is now, is that of (N − 1)/2 samples ago.
TEST(UsualReadingLag, IsThatOfTheMeanSinceTheLastReading) {
  constexpr int kSamples = 25;  // at 1 kHz between two readings at 40 Hz
  double mean_age = 0.0;
  for (int k = 0; k < kSamples; ++k) mean_age += 1e-3 * k / kSamples;
  EXPECT_NEAR(usual_reading_lag(40.0), mean_age, 1e-12);
}

TEST(UsualReadingLag, IsNeverLessThanThePartsOwnLowPass) {
  EXPECT_DOUBLE_EQ(usual_reading_lag(286.0), SensorErrors{}.reading_lag);
  EXPECT_DOUBLE_EQ(usual_reading_lag(1e4), SensorErrors{}.reading_lag);
}

}  // namespace
}  // namespace strapline::dsp
