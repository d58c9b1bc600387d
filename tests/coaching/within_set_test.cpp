#include "strapline/coaching/within_set.hpp"

#include <cmath>
#include <sstream>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/wording_within_set.hpp"

#include "reference_script.hpp"

namespace strapline::coaching {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

dsp::Measure metres(double value, double u = 0.0) {
  return dsp::MeasuredValue{value, u, dsp::Unit::metre};
}

std::vector<dsp::MeasureMap> reps_of(const std::string& name, const std::vector<double>& values) {
  std::vector<dsp::MeasureMap> reps;
  for (const double value : values) reps.push_back({{name, metres(value)}});
  return reps;
}

std::vector<double> read(std::istream& line, std::size_t n) {
  std::vector<double> values(n);
  for (double& value : values) line >> value;
  return values;
}

WithinSetFinding reference_case(const std::string& kind, std::istream& line) {
  std::size_t n = 0, m = 0;
  line >> n;
  if (kind == "thirds") {
    return compare_within_set(reps_of("range", read(line, n)), {}).thirds.at(0);
  }
  if (kind == "welch") line >> m;
  auto reps = reps_of("knee_flexion_left", read(line, n));
  const auto right = read(line, kind == "welch" ? m : n);
  for (std::size_t i = 0; i < right.size(); ++i) {
    if (kind == "welch") reps.emplace_back();
    (kind == "welch" ? reps.back() : reps[i])["knee_flexion_right"] = metres(right[i]);
  }
  return compare_within_set(reps, {}).sides.at(0);
}

/// Student's t for two samples and for pairs, and Welch's
/// (tests/reference/within_set_statistics.py).
TEST(WithinSetAgainstSciPy, Intervals) {
  if (!testing::have_scipy()) GTEST_SKIP() << "no SciPy";
  std::istringstream lines(testing::output_of_script("within_set_statistics.py"));
  int cases = 0;
  for (std::string text; std::getline(lines, text); ++cases) {
    SCOPED_TRACE(text);
    std::istringstream line(text);
    std::string kind;
    line >> kind;
    const WithinSetFinding finding = reference_case(kind, line);
    const auto expected = read(line, 2);
    ASSERT_TRUE(line);
    // As near as two libraries' quantiles of t are to each other, relative to their size.
    const double tolerance = 1e-8 * (expected[1] - expected[0]);
    EXPECT_NEAR(finding.change.low, expected[0], tolerance);
    EXPECT_NEAR(finding.change.high, expected[1], tolerance);
  }
  EXPECT_EQ(cases, 13);
}

/// Student 1908, table of the additional hours of sleep gained (10 patients, two drugs; the data
/// are R's `sleep`, from memory): paired t = −4.0621 with 9 degrees of freedom, mean −1.58.
TEST(WithinSet, PairsGiveStudentsSleepData) {
  auto reps = reps_of("lifting_s_left", {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0});
  const double other[] = {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};
  for (std::size_t i = 0; i < reps.size(); ++i) reps[i]["lifting_s_right"] = metres(other[i]);
  const WithinSetFinding finding = compare_within_set(reps, {}).sides.at(0);
  EXPECT_NEAR(finding.change.difference, -1.58, 1e-12);
  EXPECT_NEAR(finding.change.difference / finding.standard_error, -4.0621, 1e-4);
  EXPECT_EQ(finding.degrees_of_freedom, 9.0);
  EXPECT_EQ(finding.change.verdict, Verdict::changed);
}

TEST(WithinSet, ThirdsTakeSixRepsAndSayWhyNot) {
  const WithinSet few = compare_within_set(reps_of("range", {1, 2, 3, 4, 5}), {});
  EXPECT_THAT(few.thirds, IsEmpty());
  EXPECT_THAT(say_thirds(few), HasSubstr("from 6 full reps on; this set has 5"));
  const WithinSet enough = compare_within_set(reps_of("range", {1, 1.1, 7, 7, 2, 2.1}), {});
  ASSERT_THAT(enough.thirds, SizeIs(1));
  EXPECT_NEAR(enough.thirds[0].change.difference, 1.0, 1e-12);
  EXPECT_EQ(enough.thirds[0].first_reps, 2);
  EXPECT_EQ(enough.thirds[0].change.verdict, Verdict::changed);
  EXPECT_THAT(say_thirds(enough), HasSubstr("spread of the reps alone"));
  EXPECT_THAT(say_chance_within(enough.thirds), HasSubstr("of 1 without any true difference"));
  EXPECT_EQ(say_chance_within(few.thirds), "");
  auto unseen = reps_of("range", {1, 2, 3, 4, 5, 6});
  unseen[2]["range"] = dsp::NotMeasured{"the strap slipped"};
  EXPECT_THAT(say_thirds(compare_within_set(unseen, {})), HasSubstr("no measure was seen in 6"));
}

TEST(WithinSet, TheAlignmentCancelsInThirdsAndNotBetweenSides) {
  std::vector<dsp::MeasureMap> reps;
  for (int rep = 0; rep < 6; ++rep) {
    const double odd = 0.001 * (rep % 2);
    reps.push_back({{"knee_line_distance_left", metres(0.03 + odd, 0.02)},
                    {"knee_line_distance_right", metres(0.01 - odd, 0.02)}});
  }
  const WithinSet within = compare_within_set(reps, {});
  ASSERT_THAT(within.thirds, SizeIs(2));
  EXPECT_LT(within.thirds[0].standard_error, 0.001);
  ASSERT_THAT(within.sides, SizeIs(1));
  EXPECT_EQ(within.sides[0].measure, "knee_line_distance");
  EXPECT_NEAR(within.sides[0].standard_error, std::hypot(0.02, 0.02), 1e-4);
  EXPECT_EQ(within.sides[0].change.verdict, Verdict::cannot_tell);
}

TEST(WithinSet, WhatMattersMakesItUnchanged) {
  CompareOptions options;
  options.smallest_that_matters["knee_line_distance"] = 0.5;
  std::vector<dsp::MeasureMap> reps;
  for (int rep = 0; rep < 6; ++rep) {
    const double value = 0.03 + 0.001 * (rep % 2);
    reps.push_back({{"knee_line_distance_left", metres(value, 0.02)},
                    {"knee_line_distance_right", metres(value, 0.02)}});
  }
  const WithinSet within = compare_within_set(reps, options);
  EXPECT_EQ(within.thirds.at(0).change.verdict, Verdict::unchanged);
  EXPECT_EQ(within.sides.at(0).change.verdict, Verdict::unchanged);
  EXPECT_EQ(sides_verdict(Verdict::unchanged), "alike");
  EXPECT_EQ(sides_verdict(Verdict::changed), "differs");
  EXPECT_EQ(thirds_verdict(Verdict::cannot_tell), "cannot tell");
}

}  // namespace
}  // namespace strapline::coaching
