#include "strapline/coaching/trend.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "strapline/coaching/quantiles.hpp"

namespace strapline::coaching {
namespace {

int sign(double x) { return (x > 0.0) - (x < 0.0); }

/// Sums over the groups of equal values that the variance of S needs.
struct TieSums {
  double pairs = 0.0;    ///< Σ t(t−1)
  double triples = 0.0;  ///< Σ t(t−1)(t−2)
  double weight = 0.0;   ///< Σ t(t−1)(2t+5)
};

TieSums tie_sums(const std::vector<double>& values) {
  std::map<double, double> counts;
  for (const double value : values) counts[value] += 1.0;
  TieSums sums;
  for (const auto& [value, t] : counts) {
    sums.pairs += t * (t - 1.0);
    sums.triples += t * (t - 1.0) * (t - 2.0);
    sums.weight += t * (t - 1.0) * (2.0 * t + 5.0);
  }
  return sums;
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

std::vector<double> sorted_slopes(const std::vector<double>& time,
                                  const std::vector<double>& value) {
  std::vector<double> slopes;
  for (std::size_t i = 0; i < time.size(); ++i) {
    for (std::size_t j = 0; j < time.size(); ++j) {
      if (time[j] > time[i]) slopes.push_back((value[j] - value[i]) / (time[j] - time[i]));
    }
  }
  std::sort(slopes.begin(), slopes.end());
  return slopes;
}

}  // namespace

dsp::Result<MannKendall> mann_kendall(const std::vector<double>& time,
                                      const std::vector<double>& value) {
  if (const auto sound = check(time, value); !sound) return tl::make_unexpected(sound.error());
  MannKendall test;
  for (std::size_t i = 0; i < time.size(); ++i) {
    for (std::size_t j = i + 1; j < time.size(); ++j) {
      test.s += sign(time[j] - time[i]) * sign(value[j] - value[i]);
    }
  }
  test.variance = variance_of_s(time, value);
  if (test.s == 0 || !(test.variance > 0.0)) return test;
  test.z = (test.s - sign(test.s)) / std::sqrt(test.variance);
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
  const std::vector<double> slopes = sorted_slopes(time, value);
  if (slopes.empty()) return dsp::fail("a trend needs points at two different times or more");

  const double n_slopes = static_cast<double>(slopes.size());
  const double variance =
      (unties_weight(time.size()) - tie_sums(time).weight - tie_sums(value).weight) / 18.0;
  const double reach = normal_quantile(0.5 + 0.5 * confidence) * std::sqrt(std::max(0.0, variance));
  const auto last = static_cast<long>(slopes.size()) - 1;
  const long low = std::max(std::lrint((n_slopes - reach) / 2.0) - 1, 0L);
  const long high = std::min(std::lrint((n_slopes + reach) / 2.0), last);

  TheilSen line;
  line.slope = median(slopes);
  line.low = slopes[static_cast<std::size_t>(std::min(low, last))];
  line.high = slopes[static_cast<std::size_t>(high)];
  line.intercept = median(value) - line.slope * median(time);
  return line;
}

}  // namespace strapline::coaching
