// Selecting among the slopes of all pairs against forming and sorting every one of them.
#include "pairwise_slopes.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace strapline::coaching {
namespace {

std::vector<double> sorted_slopes(const std::vector<TrendPoint>& points) {
  std::vector<double> slopes;
  for (const TrendPoint& a : points) {
    for (const TrendPoint& b : points) {
      if (b.time > a.time) slopes.push_back((b.value - a.value) / (b.time - a.time));
    }
  }
  std::sort(slopes.begin(), slopes.end());
  return slopes;
}

std::int64_t falling_by_pairs(const std::vector<TrendPoint>& points) {
  std::int64_t count = 0;
  for (const TrendPoint& a : points) {
    for (const TrendPoint& b : points) count += b.time > a.time && b.value < a.value ? 1 : 0;
  }
  return count;
}

void expect_same(const std::vector<double>& time, const std::vector<double>& value) {
  const auto points = in_order(time, value);
  const auto expected = sorted_slopes(points);
  ASSERT_EQ(pairs_in_time(points), expected.size());
  EXPECT_EQ(falling_pairs(points), falling_by_pairs(points));
  const std::size_t n = expected.size();
  // To the digit: ends, the middle with its neighbours, and a narrow and a wide stretch.
  for (const std::vector<std::size_t>& ranks : std::vector<std::vector<std::size_t>>{
           {0},
           {n - 1},
           {0, n - 1},
           {(n - 1) / 2, n / 2},
           {(n - 1) / 2 - n / 50, (n - 1) / 2, (n - 1) / 2, (n - 1) / 2 + n / 50},
           {n / 10, n / 3, n - 1 - n / 10}}) {
    const auto found = slopes_of_rank(points, ranks);
    for (std::size_t i = 0; i < ranks.size(); ++i) {
      EXPECT_EQ(found[i], expected[ranks[i]]) << "rank " << ranks[i] << " of " << n;
    }
  }
}

class ManyPoints : public ::testing::TestWithParam<int> {};

// 900 points have 404,550 pairs: more than are formed at once.
TEST_P(ManyPoints, GiveWhatSortingEverySlopeGives) {
  const int kind = GetParam();
  std::mt19937 random(static_cast<unsigned>(20261125 + kind));
  std::normal_distribution<double> noise;
  std::vector<double> time;
  std::vector<double> value;
  for (int i = 0; i < 900; ++i) {
    const double x = noise(random);
    double t = 20000.0 + 3.0 * i;
    double v = 1.7 + 0.03 * x;                                    // 0: no trend
    if (kind == 1) v += 1e-5 * t;                                 // a clear one
    if (kind == 2) v = std::round(20.0 * x) / 20.0;               // many ties in value
    if (kind == 3) t = std::floor(t / 30.0);                      // many ties in time
    if (kind == 4) v = 0.25 * i + (i % 50 == 0 ? x : 0.0);        // nearly all slopes equal
    if (kind == 5) v = 1e9 + 1e-4 * x;                            // close to rounding
    if (kind == 6) v = std::exp(4.0 * x);                         // heavy tails
    if (kind == 7) t += 1e-7 * noise(random) - (i % 3) * 2.9999;  // times close to each other
    time.push_back(t);
    value.push_back(v);
  }
  expect_same(time, value);
}

INSTANTIATE_TEST_SUITE_P(PairwiseSlopes, ManyPoints, ::testing::Range(0, 8));

RC_GTEST_PROP(PairwiseSlopes, OfFewPointsWithTies, ()) {
  const auto size = *rc::gen::inRange<std::size_t>(3, 30);
  std::vector<double> time;
  std::vector<double> value;
  for (std::size_t i = 0; i < size; ++i) {
    time.push_back(*rc::gen::inRange(0, 12));
    value.push_back(*rc::gen::inRange(-5, 6) / 4.0);
  }
  if (pairs_in_time(in_order(time, value)) == 0) return;
  expect_same(time, value);
}

}  // namespace
}  // namespace strapline::coaching
