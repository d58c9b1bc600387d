// Statistics of change against SciPy (tests/reference/change_statistics.py).
#include <cmath>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/coaching/quantiles.hpp"
#include "strapline/coaching/trend.hpp"

#include "reference_script.hpp"

namespace strapline::coaching {
namespace {

std::vector<double> read(std::istream& line, std::size_t n) {
  std::vector<double> values(n);
  for (double& value : values) line >> value;
  return values;
}

void check_theil_sen(std::istream& line) {
  std::size_t n = 0;
  line >> n;
  const auto time = read(line, n);
  const auto value = read(line, n);
  const auto expected = read(line, 4);
  const auto fit = theil_sen(time, value, 0.95);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->slope, expected[0], 1e-10);
  EXPECT_NEAR(fit->low, expected[1], 1e-10);
  EXPECT_NEAR(fit->high, expected[2], 1e-10);
  EXPECT_NEAR(fit->intercept, expected[3], 1e-8);
}

void check_kendall(std::istream& line) {
  std::size_t n = 0;
  line >> n;
  const auto time = read(line, n);
  const auto value = read(line, n);
  const double p = read(line, 1)[0];
  const auto test = mann_kendall(time, value);
  ASSERT_TRUE(test);
  // SciPy makes no continuity correction, so S and its variance are compared without one.
  EXPECT_NEAR(2.0 * normal_cdf(-std::abs(static_cast<double>(test->s)) / std::sqrt(test->variance)),
              p, 1e-10);
}

void check_t(std::istream& line) {
  const auto v = read(line, 3);
  EXPECT_NEAR(student_t_quantile(v[0], v[1]), v[2], 1e-8 * std::abs(v[2]));
}

void check_normal(std::istream& line) {
  const auto v = read(line, 2);
  EXPECT_NEAR(normal_quantile(v[0]), v[1], 1e-10);
}

TEST(AgainstSciPy, TrendsAndQuantiles) {
  if (!testing::have_scipy()) GTEST_SKIP() << "no SciPy";
  const std::string output = testing::output_of_script("change_statistics.py");
  ASSERT_FALSE(output.empty()) << "the reference script failed";

  const testing::ReferenceChecks checks{{"theilsen", check_theil_sen},
                                        {"kendall", check_kendall},
                                        {"t", check_t},
                                        {"normal", check_normal}};
  auto done = testing::check_lines(output, checks);
  EXPECT_GE(done["theilsen"], 50);
  EXPECT_GE(done["kendall"], 50);
  EXPECT_EQ(done["t"], 40);
  EXPECT_EQ(done["normal"], 5);
}

}  // namespace
}  // namespace strapline::coaching
