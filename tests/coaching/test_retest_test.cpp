#include "strapline/coaching/test_retest.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "strapline/coaching/trend.hpp"

namespace strapline::coaching {
namespace {

/// The worked example of Weir 2005, doi 10.1519/15184.1.
Eigen::MatrixXd weir() {
  Eigen::MatrixXd table(8, 2);
  table << 146, 140, 148, 152, 170, 152, 90, 99, 157, 145, 156, 153, 176, 167, 205, 218;
  return table;
}

/// Shrout & Fleiss 1979, table 2 (data from memory; the published correlations come out).
Eigen::MatrixXd shrout_fleiss() {
  Eigen::MatrixXd table(6, 4);
  table << 9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7;
  return table;
}

TEST(TestRetest, Weir2005) {
  const auto anova = two_way_anova(weir());
  ASSERT_TRUE(anova);
  EXPECT_NEAR(anova->ms_error, 57.1071, 5e-5);
  const double sem = standard_error_of_measurement(*anova);
  EXPECT_NEAR(sem, 7.5569, 5e-5);
  EXPECT_NEAR(minimal_detectable_change_95(sem), 20.947, 5e-4);
  const auto icc = intraclass_correlations(*anova);
  ASSERT_TRUE(icc);
  EXPECT_NEAR(icc->random_single, 0.94998, 5e-6);
  EXPECT_NEAR(icc->fixed_single, 0.94702, 5e-6);
}

TEST(TestRetest, SemIsNotTheOneFromTheTotalDeviation) {
  // The trap named by Weir 2005: SD·√(1 − ICC(3,1)) with the total SD gives 7.308.
  const Eigen::MatrixXd table = weir();
  const auto anova = two_way_anova(table);
  ASSERT_TRUE(anova);
  const double total_sd = std::sqrt((table.array() - table.mean()).square().sum() / 15.0);
  const double trap = total_sd * std::sqrt(1.0 - intraclass_correlations(*anova)->fixed_single);
  EXPECT_NEAR(trap, 7.308, 5e-4);
  EXPECT_GT(standard_error_of_measurement(*anova) - trap, 0.2);
}

TEST(TestRetest, TypicalErrorOfHopkins2000) {
  // On Weir's data the same as √MSE: 7.5569.
  const auto error = typical_error(weir().col(0), weir().col(1));
  ASSERT_TRUE(error);
  EXPECT_NEAR(*error, 7.5569, 5e-5);
}

TEST(TestRetest, ShroutAndFleiss1979SixWays) {
  const auto anova = two_way_anova(shrout_fleiss());
  ASSERT_TRUE(anova);
  const auto icc = intraclass_correlations(*anova);
  ASSERT_TRUE(icc);
  EXPECT_NEAR(icc->one_way_single, 0.1657, 5e-5);
  EXPECT_NEAR(icc->random_single, 0.2898, 5e-5);
  EXPECT_NEAR(icc->fixed_single, 0.7148, 5e-5);
  EXPECT_NEAR(icc->one_way_average, 0.4428, 5e-5);
  EXPECT_NEAR(icc->random_average, 0.6201, 5e-5);
  EXPECT_NEAR(icc->fixed_average, 0.9093, 5e-5);
}

TEST(TestRetest, RefusesWhatCannotBeAnalysed) {
  EXPECT_FALSE(two_way_anova(Eigen::MatrixXd::Ones(1, 2)));
  EXPECT_FALSE(two_way_anova(Eigen::MatrixXd::Ones(4, 1)));
  Eigen::MatrixXd hole = weir();
  hole(3, 1) = std::nan("");
  EXPECT_FALSE(two_way_anova(hole));
  EXPECT_FALSE(intraclass_correlations(*two_way_anova(Eigen::MatrixXd::Ones(4, 2))));
  EXPECT_FALSE(typical_error(Eigen::VectorXd::Ones(3), Eigen::VectorXd::Ones(2)));
}

TEST(PooledDeviation, WeighsGroupsByTheirDegreesOfFreedom) {
  // By hand: sums of squares 2 and 8, degrees of freedom 2 and 1; single values say nothing.
  const PooledDeviation pooled = pooled_within_deviation({{9, 10, 11}, {4, 8}, {100}, {}});
  EXPECT_EQ(pooled.degrees_of_freedom, 3);
  EXPECT_NEAR(pooled.sd, std::sqrt(10.0 / 3.0), 1e-12);
  EXPECT_EQ(pooled_within_deviation({{1}, {2}}).degrees_of_freedom, 0);
}

/// Worked example of the College of the Holy Cross; slope by Sen 1968.
TEST(Trend, HolyCrossExample) {
  const std::vector<double> value{12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9,
                                  11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7};
  std::vector<double> time;
  for (std::size_t i = 0; i < value.size(); ++i) time.push_back(static_cast<double>(i + 1));
  const auto test = mann_kendall(time, value);
  ASSERT_TRUE(test);
  EXPECT_EQ(test->s, 54);
  EXPECT_NEAR(test->variance, 332.667, 5e-4);  // 12.9 occurs twice: the tie correction is in it
  EXPECT_NEAR(test->z, 2.9058, 5e-5);
  EXPECT_NEAR(test->p_one_sided, 0.00183, 5e-6);
  EXPECT_NEAR(test->p_two_sided, 2.0 * test->p_one_sided, 1e-15);
  const auto line = theil_sen(time, value);
  ASSERT_TRUE(line);
  EXPECT_NEAR(line->slope, 0.566667, 5e-7);
  EXPECT_GT(line->low, 0.0);
}

TEST(Trend, TwoSetsOfOneDayAreNeitherBeforeTheOther) {
  const auto test = mann_kendall({0, 0, 7, 7}, {10, 11, 12, 13});
  ASSERT_TRUE(test);
  EXPECT_EQ(test->s, 4);
}

TEST(Trend, FlatAndUnfitInput) {
  const auto flat = mann_kendall({1, 2, 3, 4}, {5, 5, 5, 5});
  ASSERT_TRUE(flat);
  EXPECT_EQ(flat->s, 0);
  EXPECT_EQ(flat->p_two_sided, 1.0);
  EXPECT_FALSE(mann_kendall({1, 2}, {1, 2}));
  EXPECT_FALSE(mann_kendall({1, 2, 3}, {1, 2}));
  EXPECT_FALSE(theil_sen({1, 1, 1}, {1, 2, 3}));
  EXPECT_FALSE(theil_sen({1, 2, 3}, {1, std::nan(""), 3}));
  EXPECT_FALSE(theil_sen({1, 2, 3}, {1, 2, 3}, 1.0));
}

}  // namespace
}  // namespace strapline::coaching
