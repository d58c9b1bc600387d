// Sway as the simulator draws it against what posturography says of it, and against what the
// analysis states of a still part.
#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/error_budget.hpp"

#include "sway.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr int kPeople = 4000;
constexpr double kTrunk = 0.00698;  // rad (0.4°), RMS

/// The mean over `seconds` from a time of its own on, in steps of 20 ms.
double mean_over(const SwaySignal& sway, double seconds) {
  const int n = static_cast<int>(seconds / 0.02);
  double sum = 0.0;
  for (int i = 0; i < n; ++i) sum += sway_at(sway, 3.0 + 0.02 * i);
  return sum / n;
}

/// The 95 % ellipse of posturography (Prieto et al. 1996, from memory) takes sway for normal: 95 of
/// 100 people within 1.96 of its RMS at any time, and some beyond 2.58 of it.
TEST(SyntheticSway, IsNormalOverPeopleWithTheRmsAskedFor) {
  double squares = 0.0;
  int within = 0, far = 0;
  for (int k = 0; k < kPeople; ++k) {
    Random random(static_cast<std::uint64_t>(k), 3);
    const double x = sway_at(draw_sway(random, kTrunk), 5.0) / kTrunk;
    squares += x * x;
    within += std::abs(x) < 1.96 ? 1 : 0;
    far += std::abs(x) > 2.58 ? 1 : 0;
  }
  EXPECT_NEAR(std::sqrt(squares / kPeople), 1.0, 0.04);
  EXPECT_NEAR(within / static_cast<double>(kPeople), 0.95, 0.012);
  EXPECT_NEAR(far / static_cast<double>(kPeople), 0.01, 0.005);
}

/// Who stands for longer has more of it averaged out, and the analysis states as much.
TEST(SyntheticSway, AStillPartsMeanKeepsWhatTheAnalysisStates) {
  for (const double seconds : {1.5, 2.0, 3.0, 4.0, 5.0}) {
    double squares = 0.0;
    for (int k = 0; k < kPeople; ++k) {
      Random random(static_cast<std::uint64_t>(k), 3);
      const double mean = mean_over(draw_sway(random, kTrunk), seconds);
      squares += mean * mean;
    }
    const double seen = std::sqrt(squares / kPeople);
    EXPECT_NEAR(seen / dsp::mean_sway(seconds), 1.0, 0.1) << seconds;
  }
  EXPECT_GT(dsp::mean_sway(0.0), dsp::mean_sway(0.5));
  EXPECT_LT(dsp::mean_sway(20.0), 0.5 * dsp::mean_sway(4.0));
}

}  // namespace
}  // namespace strapline::recordings::synthetic
