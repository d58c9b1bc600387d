#include "strapline/coaching/change.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "strapline/coaching/quantiles.hpp"
#include "strapline/coaching/test_retest.hpp"
#include "strapline/coaching/trend.hpp"

namespace strapline::coaching {
namespace {

ErrorBasis stated(double sem) {
  ErrorBasis basis;
  basis.sem = sem;
  return basis;
}

TEST(Change, Mdc95OfTwoSetsIsWeirs) {
  // Weir 2005: SEM 7.5569 makes MDC95 20.947.
  const Change change = judge_change({100, 1}, {110, 1}, stated(7.5569), std::nullopt);
  EXPECT_NEAR(change.mdc95, 20.947, 5e-4);
  EXPECT_NEAR(change.mdc95, minimal_detectable_change_95(7.5569), 1e-12);
}

TEST(Change, ChangedOnlyBeyondMdc95) {
  const double mdc = minimal_detectable_change_95(1.0);
  EXPECT_EQ(judge_change({0, 1}, {mdc * 1.001, 1}, stated(1.0), 1.0).verdict, Verdict::changed);
  EXPECT_EQ(judge_change({0, 1}, {mdc * 0.999, 1}, stated(1.0), 1.0).verdict, Verdict::cannot_tell);
  EXPECT_EQ(judge_change({mdc * 1.001, 1}, {0, 1}, stated(1.0), 1.0).verdict, Verdict::changed);
}

TEST(Change, UnchangedOnlyWhenTheWholeIntervalMattersTooLittle) {
  const double mdc = minimal_detectable_change_95(1.0);
  EXPECT_EQ(judge_change({0, 1}, {1, 1}, stated(1.0), mdc + 1.001).verdict, Verdict::unchanged);
  EXPECT_EQ(judge_change({0, 1}, {1, 1}, stated(1.0), mdc + 0.999).verdict, Verdict::cannot_tell);
  EXPECT_EQ(judge_change({0, 1}, {0, 1}, stated(1.0), std::nullopt).verdict, Verdict::cannot_tell);
}

TEST(Change, SmallButCertainIsChangedAndSaysThatItMattersTooLittle) {
  const Change change = judge_change({0, 1}, {3, 1}, stated(1.0), 10.0);
  EXPECT_EQ(change.verdict, Verdict::changed);
  EXPECT_TRUE(change.smaller_than_matters);
  EXPECT_FALSE(judge_change({0, 1}, {9, 1}, stated(1.0), 10.0).smaller_than_matters);
}

TEST(Change, FurtherSetsByHand) {
  // 1.96·√(1 + 1/n) < 2.3 from n = 3 on (√(1 + 1/3)·1.96 = 2.263; n = 2: 2.400): two more.
  const Change change = judge_change({0, 1}, {2.3, 1}, stated(1.0), std::nullopt);
  ASSERT_TRUE(change.further_sets);
  EXPECT_EQ(*change.further_sets, 2);
  // One baseline set alone leaves 1.96: a difference of 1.9 is never settled by later sets.
  EXPECT_FALSE(judge_change({0, 1}, {1.9, 1}, stated(1.0), std::nullopt).further_sets);
  // A settled difference asks for nothing.
  EXPECT_FALSE(judge_change({0, 1}, {9.0, 1}, stated(1.0), std::nullopt).further_sets);
}

TEST(Change, FewDegreesOfFreedomAskForMore) {
  ErrorBasis own{ErrorSource::own_repeats, 1.0, 5.0, 3};
  // t(0.975, 5) = 2.5706 (any table of Student's t).
  EXPECT_NEAR(own.coverage(), 2.5706, 5e-5);
  EXPECT_EQ(stated(1.0).coverage(), 1.96);
}

TEST(SetMean, UncertaintyOfTheRepsDoesNotAverageOut) {
  const ErrorParameters parameters;
  const std::vector<dsp::MeasuredValue> reps(100, {1.0, 0.05, dsp::Unit::radian});
  const SetMean mean = set_mean(summarise_reps(reps), parameters);
  EXPECT_NEAR(mean.value, 1.0, 1e-12);
  EXPECT_NEAR(mean.stated_error, std::hypot(0.05, parameters.restrapping_rad), 1e-12);
}

TEST(SetMean, SpreadOfTheRepsCounts) {
  ErrorParameters parameters;
  parameters.restrapping_s = 0.0;
  const SetMean mean = set_mean(
      summarise_reps({{1.0, 0.0, dsp::Unit::second}, {3.0, 0.0, dsp::Unit::second}}), parameters);
  EXPECT_NEAR(mean.within_sd, std::numbers::sqrt2, 1e-12);
  EXPECT_NEAR(mean.stated_error, 1.0, 1e-12);
}

TEST(ErrorBasis, OwnRepeatsOnlyWithEnoughOfThem) {
  const ErrorParameters parameters;
  const auto few = error_basis({{1, 2}, {1, 2}, {1, 2}, {1, 2}}, {3.0, 4.0}, 0.0, parameters);
  EXPECT_EQ(few.source, ErrorSource::stated_uncertainty);
  EXPECT_NEAR(few.sem, std::sqrt(12.5), 1e-12);
  const auto enough =
      error_basis({{1, 2}, {1, 2}, {1, 2}, {1, 2}, {1, 2}, {7}}, {3.0}, 2.0, parameters);
  EXPECT_EQ(enough.source, ErrorSource::own_repeats);
  EXPECT_EQ(enough.degrees_of_freedom, 5);
  EXPECT_EQ(enough.repeat_groups, 5);
  EXPECT_NEAR(enough.sem, std::sqrt(0.5), 1e-12);
}

/// JCGM 100:2008: a standard uncertainty known to a quarter has 8 degrees of freedom (G.4.2); as a
/// part of 1/√2 of the whole it leaves the whole four times as many (G.4.1, Welch–Satterthwaite).
TEST(ErrorBasis, ADefaultThatIsUncertainItselfHasDegreesOfFreedom) {
  const ErrorParameters parameters;
  EXPECT_NEAR(error_basis({}, {2.5}, 2.5, parameters).degrees_of_freedom, 8.0, 1e-9);
  // t(0.975, 8) = 2.306 (any table of Student's t).
  EXPECT_NEAR(error_basis({}, {2.5}, 2.5, parameters).coverage(), 2.306, 5e-4);
  const double whole = 2.5 * std::numbers::sqrt2;
  EXPECT_NEAR(error_basis({}, {whole}, 2.5, parameters).degrees_of_freedom, 32.0, 1e-9);
  EXPECT_EQ(error_basis({}, {2.5}, 0.0, parameters).coverage(), 1.96);
}

/// Where nothing changed, five comparisons in a hundred call it changed, however few repeats the
/// error comes from. Fixed seed; the bounds are three standard errors of the rate around 5 %.
TEST(Change, FalseAlarmRateIsFivePercent) {
  std::mt19937 random(20261005);
  std::normal_distribution<double> noise(0.0, 2.0);
  const int trials = 6000;
  int changed = 0;
  for (int trial = 0; trial < trials; ++trial) {
    std::vector<std::vector<double>> repeats(6);
    for (auto& group : repeats) group = {noise(random), noise(random)};
    const ErrorBasis basis = error_basis(repeats, {99.0}, 0.0, {});
    ASSERT_EQ(basis.source, ErrorSource::own_repeats);
    const ComparedMean before{noise(random), 1};
    const ComparedMean after{noise(random), 1};
    changed += judge_change(before, after, basis, std::nullopt).verdict == Verdict::changed;
  }
  const double rate = static_cast<double>(changed) / trials;
  const double three_sigma = 3.0 * std::sqrt(0.05 * 0.95 / trials);
  RecordProperty("false_alarm_rate", std::to_string(rate));
  EXPECT_NEAR(rate, 0.05, three_sigma);
}

/// Over the whole range from the first case on: RapidCheck's own ranges start small.
double between(double low, double high) {
  const int part = *rc::gen::resize(rc::kNominalSize, rc::gen::inRange(0, 100001));
  return low + (high - low) * part / 100000.0;
}

RC_GTEST_PROP(ChangeLaws, SwappingSidesTurnsTheSignAndKeepsTheVerdict, ()) {
  const ComparedMean a{between(-50, 50), *rc::gen::inRange(1, 5)};
  const ComparedMean b{between(-50, 50), *rc::gen::inRange(1, 5)};
  const ErrorBasis basis = stated(between(0.1, 10));
  const double smallest = between(0.1, 60);
  const Change forth = judge_change(a, b, basis, smallest);
  const Change back = judge_change(b, a, basis, smallest);
  RC_ASSERT(forth.verdict == back.verdict);
  RC_ASSERT(std::abs(forth.difference + back.difference) < 1e-9);
  RC_ASSERT(std::abs(forth.low + back.high) < 1e-9);
}

RC_GTEST_PROP(ChangeLaws, ShiftAndScaleDoNotChangeTheVerdict, ()) {
  const double shift = between(-1000, 1000);
  const double scale = std::exp2(*rc::gen::inRange(-6, 7));  // exact, so that no border is crossed
  const ComparedMean a{0.0, 1};
  const ComparedMean b{between(-50, 50), 1};
  const double sem = between(0.1, 10);
  const double smallest = between(0.1, 60);
  const Change plain = judge_change(a, b, stated(sem), smallest);
  const Change scaled = judge_change({a.value * scale, 1}, {b.value * scale, 1},
                                     stated(sem * scale), smallest * scale);
  RC_ASSERT(plain.verdict == scaled.verdict);
  RC_ASSERT(plain.further_sets == scaled.further_sets);
  const Change shifted =
      judge_change({a.value + shift, 1}, {b.value + shift, 1}, stated(sem), smallest);
  RC_ASSERT(std::abs(shifted.difference - plain.difference) < 1e-9);
}

RC_GTEST_PROP(ChangeLaws, TheNumberOfFurtherSetsIsTheLeastThatSettles, ()) {
  const ComparedMean a{0.0, *rc::gen::inRange(1, 5)};
  const int latest_wearings = *rc::gen::inRange(1, 5);
  const ErrorBasis basis = stated(between(1, 10));
  // Between what the most further sets would detect and what is detected now.
  const auto reach = [&](int n) {
    return 1.96 * basis.sem * std::sqrt(1.0 / a.wearings + 1.0 / n);
  };
  const double farthest = reach(latest_wearings + kMostFurtherSets);
  const double part = between(0.001, 0.999);
  const ComparedMean b{farthest + part * (reach(latest_wearings) - farthest), latest_wearings};
  const double smallest = between(1, 30);
  const Change change = judge_change(a, b, basis, smallest);
  if (change.verdict == Verdict::unchanged) return;
  RC_ASSERT(change.further_sets.has_value());
  const int more = *change.further_sets;
  const auto verdict_with = [&](int sets) {
    return judge_change(a, {b.value, b.wearings + sets}, basis, smallest).verdict;
  };
  RC_ASSERT(verdict_with(more) != Verdict::cannot_tell);
  RC_ASSERT(verdict_with(more - 1) == Verdict::cannot_tell);
}

std::vector<double> some_values() {
  const auto integers = *rc::gen::container<std::vector<int>>(*rc::gen::inRange<std::size_t>(4, 16),
                                                              rc::gen::inRange(-20, 21));
  return {integers.begin(), integers.end()};
}

std::vector<double> weeks(std::size_t n) {
  std::vector<double> time;
  for (std::size_t i = 0; i < n; ++i) time.push_back(7.0 * static_cast<double>(i));
  return time;
}

RC_GTEST_PROP(TrendLaws, MirroredValuesMirrorTheTrend, ()) {
  const std::vector<double> value = some_values();
  std::vector<double> mirrored = value;
  for (double& v : mirrored) v = -v;
  const auto time = weeks(value.size());
  RC_ASSERT(mann_kendall(time, value)->s == -mann_kendall(time, mirrored)->s);
  RC_ASSERT(mann_kendall(time, value)->variance == mann_kendall(time, mirrored)->variance);
  RC_ASSERT(std::abs(theil_sen(time, value)->slope + theil_sen(time, mirrored)->slope) < 1e-12);
  // The interval mirrors too, up to one order statistic, because ranks are rounded (half to even).
  RC_ASSERT(theil_sen(time, value)->low <= theil_sen(time, value)->high);
}

RC_GTEST_PROP(TrendLaws, AnAddedLineAddsItsSlope, ()) {
  const std::vector<double> value = some_values();
  const auto time = weeks(value.size());
  const double slope = *rc::gen::inRange(-8, 9) / 4.0;
  std::vector<double> tilted = value;
  for (std::size_t i = 0; i < tilted.size(); ++i) tilted[i] += 3.0 + slope * time[i];
  RC_ASSERT(std::abs(theil_sen(time, tilted)->slope - theil_sen(time, value)->slope - slope) <
            1e-9);
}

RC_GTEST_PROP(TrendLaws, OrderOfTheSetsDoesNotMatter, ()) {
  const std::vector<double> value = some_values();
  const auto time = weeks(value.size());
  const std::vector<double> back_time(time.rbegin(), time.rend());
  const std::vector<double> back_value(value.rbegin(), value.rend());
  RC_ASSERT(mann_kendall(time, value)->s == mann_kendall(back_time, back_value)->s);
  RC_ASSERT(theil_sen(time, value)->slope == theil_sen(back_time, back_value)->slope);
}

RC_GTEST_PROP(TestRetestLaws, ShiftKeepsAndScaleScalesTheSem, ()) {
  Eigen::MatrixXd table(5, 3);
  for (Eigen::Index i = 0; i < table.size(); ++i) table(i) = between(-100, 100);
  const double scale = between(0.1, 10);
  const double sem = standard_error_of_measurement(*two_way_anova(table));
  const Eigen::MatrixXd moved = (table.array() * scale + 40.0).matrix();
  RC_ASSERT(std::abs(standard_error_of_measurement(*two_way_anova(moved)) - scale * sem) <
            1e-9 * (1.0 + sem));
  // Trials that differ by a constant do not add to the error.
  Eigen::MatrixXd offset = table;
  offset.col(1).array() += 25.0;
  RC_ASSERT(std::abs(standard_error_of_measurement(*two_way_anova(offset)) - sem) <
            1e-9 * (1.0 + sem));
}

}  // namespace
}  // namespace strapline::coaching
