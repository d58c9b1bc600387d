#include "strapline/coaching/comparison.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/quantiles.hpp"
#include "strapline/coaching/wording.hpp"

namespace strapline::coaching {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kDegree = std::numbers::pi / 180.0;

dsp::MeasuredValue degrees(double value, double u = 1.0) {
  return {value * kDegree, u * kDegree, dsp::Unit::radian};
}

/// A set of the winch operator's with three reps of the same knee flexion.
ComparedSet set_of(const std::string& date, double flexion_deg, double load = 60.0) {
  ComparedSet set;
  set.name = "set-" + date;
  set.client = "winch operator";
  set.movement = "squat";
  set.variation = "box";
  set.kit = "thigh+shank";
  set.started_utc = date;
  set.load_kg = load;
  set.effort_rpe = 7;
  set.full_reps = 3;
  set.measures["knee_flexion_left"] =
      summarise_reps({degrees(flexion_deg), degrees(flexion_deg), degrees(flexion_deg)});
  return set;
}

Comparison compared(std::vector<ComparedSet> sets, const CompareOptions& options = {}) {
  auto comparison = compare_sets(std::move(sets), options);
  EXPECT_TRUE(comparison) << comparison.error().line();
  return comparison.value_or(Comparison{});
}

TEST(Calendar, DaysAndBack) {
  EXPECT_EQ(days_from_utc("1970-01-01").value(), 0.0);
  EXPECT_EQ(days_from_utc("2000-03-01").value(), 11017.0);  // Unix time 951868800 / 86400
  EXPECT_NEAR(days_from_utc("1970-01-02T12:00:00.0Z").value(), 1.5, 1e-12);
  EXPECT_NEAR(days_from_utc("1970-01-01T06:00Z").value(), 0.25, 1e-12);
  EXPECT_NEAR(days_from_utc("1970-01-01T00:00:00.125Z").value() * 86400.0, 0.125, 1e-12);
  EXPECT_EQ(date_from_days(11017.9), "2000-03-01");
  for (const char* wrong :
       {"", "2026-02-30", "26-01-01", "2026-01-01T25:00:00Z", "2026-01-01T08:00:00",
        "2026-01-01T08:00:00+02:00", "2026-01-01Z ", "2026-01-01T08:00:00.Z", "2026-01-01T08Z",
        "2026-01-01T08:60Z", "2026-1-01", "2026-01-0a", "2026-01-01T08:00:00Z ", "2026/01/01"}) {
    EXPECT_FALSE(days_from_utc(wrong)) << wrong;
  }
}

TEST(Comparison, OrdersByTimeAndComparesFirstWithLatest) {
  const Comparison c =
      compared({set_of("2026-11-25", 110), set_of("2026-10-01", 95), set_of("2026-10-29", 100)});
  EXPECT_EQ(c.sets.front().started_utc, "2026-10-01");
  ASSERT_EQ(c.findings.size(), 1u);
  const MeasureFinding& finding = c.findings[0];
  EXPECT_THAT(finding.baseline->sets, ElementsAre(0));
  EXPECT_THAT(finding.latest->sets, ElementsAre(2));
  EXPECT_NEAR(finding.change->difference, 15 * kDegree, 1e-12);
  // SEM of each set: u 1° and re-strapping 2.5° (0.0436 rad), of which the latter has 8 degrees of
  // freedom and leaves 8·(2.69/2.5)⁴ = 10.8: MDC95 = t·√2·2.69° with t = 2.21 instead of 1.96.
  const double sem = std::hypot(kDegree, 0.0436);
  const double t = student_t_quantile(0.975, 8.0 * std::pow(sem / 0.0436, 4));
  EXPECT_NEAR(t, 2.206, 2e-3);
  EXPECT_NEAR(finding.change->mdc95, t * std::numbers::sqrt2 * sem, 1e-9);
  EXPECT_EQ(finding.change->verdict, Verdict::changed);
  EXPECT_EQ(finding.error.source, ErrorSource::stated_uncertainty);
}

TEST(Comparison, ADifferenceWithinItsErrorIsNeverAChange) {
  const Comparison c = compared({set_of("2026-10-01", 96), set_of("2026-11-25", 101)});
  EXPECT_EQ(c.findings[0].change->verdict, Verdict::cannot_tell);
}

TEST(Comparison, UnlikeSetsAreSaidAndLeftOut) {
  ComparedSet other = set_of("2026-10-08", 60);
  other.variation = "front";
  other.kit = "thigh";
  const Comparison c = compared({set_of("2026-10-01", 95), other, set_of("2026-11-25", 96)});
  ASSERT_EQ(c.left_out.size(), 1u);
  EXPECT_EQ(c.left_out[0].set, 1u);
  EXPECT_THAT(c.left_out[0].differs_in, ElementsAre(Unlike::variation, Unlike::kit));
  EXPECT_EQ(c.findings[0].values.size(), 2u);
  EXPECT_THAT(
      say_left_out(c, c.left_out[0]),
      HasSubstr("variation 'front' instead of 'box', kit 'thigh' instead of 'thigh+shank'"));
}

TEST(Comparison, TheBaselineIsTheFirstWeeksSetNearestInLoad) {
  const Comparison c =
      compared({set_of("2026-10-01T08:00:00Z", 80, 20), set_of("2026-10-01T08:10:00Z", 95, 60),
                set_of("2026-10-03", 97, 60), set_of("2026-10-30", 90, 62.5),
                set_of("2026-11-25T08:00:00Z", 85, 40), set_of("2026-11-25T08:10:00Z", 99, 62.5)});
  const MeasureFinding& finding = c.findings[0];
  EXPECT_THAT(finding.baseline->sets, ElementsAre(1, 2));
  EXPECT_EQ(finding.baseline->mean.wearings, 2);
  EXPECT_NEAR(finding.baseline->mean.value, 96 * kDegree, 1e-9);
  EXPECT_THAT(finding.latest->sets, ElementsAre(5));
}

TEST(Comparison, SetsOfOneDayCountAsOneWearing) {
  const Comparison c = compared({set_of("2026-10-01T08:00:00Z", 94),
                                 set_of("2026-10-01T08:10:00Z", 98), set_of("2026-11-25", 99)});
  EXPECT_EQ(c.findings[0].baseline->mean.wearings, 1);
  EXPECT_NEAR(c.findings[0].baseline->mean.value, 96 * kDegree, 1e-9);
}

TEST(Comparison, OneDayComparesItsSetsWithTheLast) {
  const Comparison c =
      compared({set_of("2026-10-01T08:00:00Z", 94), set_of("2026-10-01T08:10:00Z", 98)});
  EXPECT_THAT(c.findings[0].baseline->sets, ElementsAre(0));
  EXPECT_THAT(c.findings[0].latest->sets, ElementsAre(1));
}

TEST(Comparison, OwnRepeatsGiveTheErrorOnceThereAreEnough) {
  std::vector<ComparedSet> sets;
  // Six weeks, two days each at the same load within the week, one degree apart: SD √0.5°.
  for (const char* date :
       {"2026-09-01", "2026-09-11", "2026-09-21", "2026-10-01", "2026-10-11", "2026-10-21"}) {
    const double day = days_from_utc(date).value();
    sets.push_back(set_of(date, 95));
    sets.push_back(set_of(date_from_days(day + 2), 96));
  }
  const Comparison c = compared(sets);
  const ErrorBasis& error = c.findings[0].error;
  EXPECT_EQ(error.source, ErrorSource::own_repeats);
  EXPECT_EQ(error.degrees_of_freedom, 6);
  EXPECT_NEAR(error.sem, std::sqrt(0.5) * kDegree, 1e-9);
  EXPECT_THAT(say_error(c.findings[0]), HasSubstr("own repeated sets (6 degrees of freedom)"));
}

TEST(Comparison, NotMeasuredIsNeverZero) {
  ComparedSet latest = set_of("2026-11-25", 100);
  latest.measures.clear();
  latest.not_measured["knee_flexion_left"] = "needs a strap on the left shank";
  const Comparison c = compared({set_of("2026-10-01", 95), set_of("2026-10-29", 97), latest});
  ASSERT_EQ(c.missing.size(), 1u);
  EXPECT_EQ(say_missing(c.missing[0]),
            "knee flexion, left: not measured, needs a strap on the left shank");
  EXPECT_FALSE(c.findings[0].change);
  EXPECT_EQ(c.findings[0].values.size(), 2u);
  EXPECT_EQ(say_change(c.findings[0]), "The latest set did not measure it.");
}

TEST(Comparison, TrendComesWithItsLoads) {
  std::vector<ComparedSet> sets;
  for (int week = 0; week < 8; ++week) {
    const double day = days_from_utc("2026-10-01").value() + 10 * week;
    sets.push_back(set_of(date_from_days(day), 90 + 2 * week, 40 + 5 * week));
  }
  const Comparison c = compared(sets);
  ASSERT_TRUE(c.findings[0].trend);
  EXPECT_NEAR(c.findings[0].trend->per_day.slope, 0.2 * kDegree, 1e-9);
  EXPECT_EQ(c.findings[0].trend->test.s, 28);
  EXPECT_THAT(say_trend(c.findings[0]), HasSubstr("+1.4° a week over 8 sets on 8 days"));
  EXPECT_THAT(say_trend(c.findings[0]), HasSubstr("load 40 kg → 75 kg"));
  sets.resize(4);
  EXPECT_FALSE(compared(sets).findings[0].trend);
}

/// Three sets of a day share how the straps sat: three times as many sets are no more certain.
TEST(Comparison, TheSetsOfADayAreOnePointOfATrend) {
  std::vector<ComparedSet> one_a_day;
  std::vector<ComparedSet> three_a_day;
  const double values[] = {90, 97, 91, 99, 92, 101, 96};
  for (int day = 0; day < 7; ++day) {
    const std::string date = date_from_days(days_from_utc("2026-10-01").value() + 4 * day);
    one_a_day.push_back(set_of(date + "T08:10:00Z", values[day]));
    for (const int set : {0, 1, 2}) {
      const std::string time = "T08:" + std::to_string(set) + "0:00Z";
      three_a_day.push_back(set_of(date + time, values[day] + 2 * (set - 1)));
    }
  }
  const Comparison one = compared(one_a_day);
  const Comparison three = compared(three_a_day);
  ASSERT_TRUE(one.findings[0].trend && three.findings[0].trend);
  const Trend& a = *one.findings[0].trend;
  const Trend& b = *three.findings[0].trend;
  EXPECT_EQ(a.days, 7);
  EXPECT_EQ(b.days, 7);
  EXPECT_EQ(b.sets, 21);
  EXPECT_EQ(a.test.s, b.test.s);
  EXPECT_NEAR(a.per_day.slope, b.per_day.slope, 1e-12);
  EXPECT_NEAR(a.per_day.low, b.per_day.low, 1e-12);
  EXPECT_NEAR(a.per_day.high, b.per_day.high, 1e-12);
  three_a_day.resize(12);  // twelve sets, but four days
  EXPECT_FALSE(compared(three_a_day).findings[0].trend);
}

TEST(Comparison, FullNameOfTheSmallestDifferenceGoesFirst) {
  CompareOptions options;
  options.smallest_that_matters = {{"knee_flexion", 3 * kDegree},
                                   {"knee_flexion_left", 9 * kDegree}};
  const Comparison c = compared({set_of("2026-10-01", 95), set_of("2026-11-25", 95)}, options);
  EXPECT_NEAR(*c.findings[0].smallest_that_matters, 9 * kDegree, 1e-12);
  EXPECT_EQ(c.findings[0].change->verdict, Verdict::unchanged);
}

TEST(Comparison, RefusesWhatCannotBeCompared) {
  EXPECT_THAT(compare_sets({}, {}).error().line(), HasSubstr("no sets to compare"));
  ComparedSet other = set_of("2026-10-02", 95);
  other.client = "medic";
  EXPECT_THAT(compare_sets({set_of("2026-10-01", 95), other}, {}).error().line(),
              HasSubstr("sets of 'winch operator' and 'medic'; compare the sets of one client"));
  EXPECT_THAT(compare_sets({set_of("yesterday", 95)}, {}).error().line(),
              HasSubstr("set-yesterday: 'yesterday' is no date"));
  ComparedSet unit = set_of("2026-10-02", 95);
  unit.measures["knee_flexion_left"].unit = dsp::Unit::metre;
  EXPECT_THAT(compare_sets({set_of("2026-10-01", 95), unit}, {}).error().line(),
              HasSubstr("'knee_flexion_left' has another unit than in earlier sets"));
}

TEST(Comparison, ASetWithoutFullRepsIsNoReasonToFail) {
  ComparedSet empty = set_of("2026-11-25", 95);
  empty.full_reps = 0;
  empty.measures.clear();
  const Comparison c = compared({set_of("2026-10-01", 95), empty});
  ASSERT_EQ(c.missing.size(), 1u);
  EXPECT_FALSE(c.findings[0].change);
  EXPECT_THAT(compared({empty}).findings, IsEmpty());
  EXPECT_EQ(say_chance(compared({empty})), "");
}

}  // namespace
}  // namespace strapline::coaching
