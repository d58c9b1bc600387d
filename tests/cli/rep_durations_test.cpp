#include "../../cli/src/reference/rep_durations.hpp"

#include <cmath>

#include <gmock/gmock.h>

namespace strapline::cli::reference {
namespace {

using ::testing::HasSubstr;

dsp::SetAnalysis reps_at(const std::vector<std::pair<double, double>>& times) {
  dsp::SetAnalysis result;
  for (const auto& [from, to] : times) {
    dsp::Rep rep;
    rep.start_s = from;
    rep.end_s = to;
    result.reps.push_back(rep);
  }
  return result;
}

// Bland & Altman 1986: mean difference ± 1.96 standard deviations. Of 1, 2, 3, 4: mean 2.5,
// standard deviation √(5/3).
TEST(RepDurations, LimitsAreThoseOfBlandAndAltman) {
  const DurationAgreement a = agreement({1.0, 2.0, 3.0, 4.0});
  EXPECT_EQ(a.n, 4);
  EXPECT_DOUBLE_EQ(a.bias, 2.5);
  EXPECT_NEAR(a.upper - a.bias, 1.96 * std::sqrt(5.0 / 3.0), 1e-12);
  EXPECT_NEAR(a.bias - a.lower, a.upper - a.bias, 1e-12);
}

TEST(RepDurations, OneErrorHasNoLimits) {
  const DurationAgreement a = agreement({0.3});
  EXPECT_EQ(a.n, 1);
  EXPECT_EQ(a.lower, 0.0);
  EXPECT_EQ(a.upper, 0.0);
}

TEST(RepDurations, FindsTheGridThatLabelsLieOn) {
  EXPECT_DOUBLE_EQ(grid_of({0.2, 0.8, 1.0, 1.4, 3.6}), 0.2);
  EXPECT_DOUBLE_EQ(grid_of({0.25, 0.75, 1.25, 2.0}), 0.25);
  EXPECT_EQ(grid_of({0.0, 0.17, 0.55, 0.92, 1.31, 1.63}), 0.0);
  EXPECT_EQ(grid_of({1.0}), 0.0);
}

TEST(RepDurations, ALabelIsComparedWithTheRepThatItOverlapsMost) {
  DurationStudy study;
  study.add("set", {{1, 0.0, 2.0}, {1, 3.0, 5.0}, {2, 20.0, 22.0}},
            reps_at({{0.1, 2.3}, {2.4, 3.2}, {3.1, 4.9}}));
  ASSERT_EQ(study.blocks.size(), 1U) << "no rep lies at the third label";
  const DurationBlock& block = study.blocks.front();
  EXPECT_EQ(block.kind, 1);
  EXPECT_DOUBLE_EQ(block.pause_s, 1.0);
  ASSERT_EQ(block.errors.size(), 2U);
  EXPECT_NEAR(block.errors[0], 0.2, 1e-12);
  EXPECT_NEAR(block.errors[1], -0.2, 1e-12);
  EXPECT_EQ(study.label_times.size(), 6U);
}

// Two borders, each off by up to half a step of 0.2 s, evenly: 1.96 · 0.2 / √6.
TEST(RepDurations, TheTableSaysWhatTheLabelsGridMakes) {
  DurationStudy study;
  study.add("one", {{1, 0.0, 2.0}, {1, 3.0, 5.0}}, reps_at({{0.0, 2.1}, {3.0, 5.3}}));
  study.add("two", {{2, 1.0, 2.2}, {2, 3.4, 5.0}}, reps_at({{1.0, 1.9}, {3.4, 4.9}}));
  const std::string table = duration_table(study);
  EXPECT_THAT(table, HasSubstr("one, kind 1"));
  EXPECT_THAT(table, HasSubstr("against 4 labelled: bias +0.00 s"));
  EXPECT_THAT(table, HasSubstr("-0.20 to +0.20 s"));
  EXPECT_THAT(table, HasSubstr("a grid of 0.20 s: that alone makes ±0.16 s"));
  EXPECT_EQ(duration_table({}), "");
}

}  // namespace
}  // namespace strapline::cli::reference
