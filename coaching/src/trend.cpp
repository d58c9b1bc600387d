#include "strapline/coaching/trend.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/coaching/quantiles.hpp"

#include "pairwise_slopes.hpp"

namespace strapline::coaching {
namespace {

/// Sums over the groups of equal values that the variance of S needs.
struct TieSums {
  double pairs = 0.0;    ///< Σ t(t−1)
  double triples = 0.0;  ///< Σ t(t−1)(t−2)
  double weight = 0.0;   ///< Σ t(t−1)(2t+5)
};

TieSums tie_sums(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  TieSums sums;
  for (auto group = values.begin(); group != values.end();) {
    const auto next = std::upper_bound(group, values.end(), *group);
    const auto t = static_cast<double>(next - group);
    sums.pairs += t * (t - 1.0);
    sums.triples += t * (t - 1.0) * (t - 2.0);
    sums.weight += t * (t - 1.0) * (2.0 * t + 5.0);
    group = next;
  }
  return sums;
}

/// Pairs of points equal in time and in value.
double pairs_equal_in_both(const std::vector<TrendPoint>& points) {
  double pairs = 0.0;
  double before = 0.0;  // equal ones before this
  for (std::size_t i = 1; i < points.size(); ++i) {
    const bool equal =
        points[i].time == points[i - 1].time && points[i].value == points[i - 1].value;
    before = equal ? before + 1.0 : 0.0;
    pairs += before;
  }
  return pairs;
}

/// Rising pairs minus falling pairs: whatever is no tie and does not fall rises.
double kendall_s(const std::vector<double>& time, const std::vector<double>& value) {
  const std::vector<TrendPoint> points = in_order(time, value);
  const double n = static_cast<double>(points.size());
  const double ties = 0.5 * (tie_sums(time).pairs + tie_sums(value).pairs);
  const double told_apart = 0.5 * n * (n - 1.0) - ties + pairs_equal_in_both(points);
  return told_apart - 2.0 * static_cast<double>(falling_pairs(points));
}

double unties_weight(std::size_t count) {
  const double n = static_cast<double>(count);
  return n * (n - 1.0) * (2.0 * n + 5.0);
}

double median(std::vector<double> values) {
  const std::size_t middle = values.size() / 2;
  std::sort(values.begin(), values.end());
  return values.size() % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
}

dsp::Result<void> check(const std::vector<double>& time, const std::vector<double>& value) {
  if (time.size() != value.size() || time.size() < 3) {
    return dsp::fail("a trend needs three points or more");
  }
  const auto finite = [](double x) { return std::isfinite(x); };
  if (!std::all_of(time.begin(), time.end(), finite) ||
      !std::all_of(value.begin(), value.end(), finite)) {
    return dsp::fail("a trend has a point that is no number");
  }
  return {};
}

/// Kendall 1975: variance of S with ties in both.
double variance_of_s(const std::vector<double>& time, const std::vector<double>& value) {
  const double n = static_cast<double>(time.size());
  const TieSums t = tie_sums(time);
  const TieSums u = tie_sums(value);
  return (unties_weight(time.size()) - t.weight - u.weight) / 18.0 +
         t.pairs * u.pairs / (2.0 * n * (n - 1.0)) +
         t.triples * u.triples / (9.0 * n * (n - 1.0) * (n - 2.0));
}

}  // namespace

dsp::Result<MannKendall> mann_kendall(const std::vector<double>& time,
                                      const std::vector<double>& value) {
  if (const auto sound = check(time, value); !sound) return tl::make_unexpected(sound.error());
  MannKendall test;
  test.s = static_cast<std::int64_t>(kendall_s(time, value));
  test.variance = variance_of_s(time, value);
  if (test.s == 0 || !(test.variance > 0.0)) return test;
  const double correction = test.s > 0 ? 1.0 : -1.0;
  test.z = (static_cast<double>(test.s) - correction) / std::sqrt(test.variance);
  test.p_one_sided = normal_cdf(-std::abs(test.z));
  test.p_two_sided = std::min(1.0, 2.0 * test.p_one_sided);
  return test;
}

dsp::Result<TheilSen> theil_sen(const std::vector<double>& time, const std::vector<double>& value,
                                double confidence) {
  if (const auto sound = check(time, value); !sound) return tl::make_unexpected(sound.error());
  if (!(confidence > 0.0 && confidence < 1.0)) {
    return dsp::fail("a confidence must lie between 0 and 1");
  }
  const std::vector<TrendPoint> points = in_order(time, value);
  const std::size_t pairs = pairs_in_time(points);
  if (pairs == 0) return dsp::fail("a trend needs points at two different times or more");

  const double n_slopes = static_cast<double>(pairs);
  const double variance =
      (unties_weight(time.size()) - tie_sums(time).weight - tie_sums(value).weight) / 18.0;
  const double reach = normal_quantile(0.5 + 0.5 * confidence) * std::sqrt(std::max(0.0, variance));
  const auto last = static_cast<long>(pairs) - 1;
  const auto rank = [&](long at) { return static_cast<std::size_t>(std::clamp(at, 0L, last)); };
  const std::vector<double> slopes =
      slopes_of_rank(points, {rank(std::lrint((n_slopes - reach) / 2.0) - 1), (pairs - 1) / 2,
                              pairs / 2, rank(std::lrint((n_slopes + reach) / 2.0))});

  TheilSen line;
  line.low = slopes[0];
  line.slope = pairs % 2 == 1 ? slopes[1] : 0.5 * (slopes[1] + slopes[2]);
  line.high = slopes[3];
  line.intercept = median(value) - line.slope * median(time);
  return line;
}

}  // namespace strapline::coaching
