// What chance does to a comparison, against SciPy (tests/reference/chance_statistics.py).
#include "strapline/coaching/chance.hpp"

#include <cmath>
#include <map>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "reference_script.hpp"

namespace strapline::coaching {
namespace {

void check_own(std::istream& line) {
  double difference = 0.0, error = 0.0, df = 0.0, share = 0.0;
  line >> difference >> error >> df >> share;
  EXPECT_NEAR(chance_by_own_repeats(difference, error, df), share, 1e-8);
}

void check_known(std::istream& line) {
  double difference = 0.0, error = 0.0, mdc = 0.0, share = 0.0;
  line >> difference >> error >> mdc >> share;
  EXPECT_NEAR(chance_beyond(difference, error, mdc), share, 1e-12);
}

void check_share(std::istream& line) {
  int count = 0, of = 0;
  double confidence = 0.0, low = 0.0, high = 0.0;
  line >> count >> of >> confidence >> low >> high;
  const Interval interval = share_interval(count, of, confidence);
  EXPECT_NEAR(interval.low, low, 1e-8);
  EXPECT_NEAR(interval.high, high, 1e-8);
}

/// The power that the study of changes can reach at all.
void check_real_change(std::istream& line) {
  double n = 0.0, df = 0.0, share = 0.0;
  line >> n >> df >> share;
  const double error = std::sqrt(2.0 / n);
  const double real = 1.5 * 1.96 * std::sqrt(2.0);
  const double ours =
      df > 0.0 ? chance_by_own_repeats(real, error, df) : chance_beyond(real, error, 1.96 * error);
  EXPECT_NEAR(ours, share, 1e-8);
}

TEST(ChanceAgainstSciPy, PowerAndShares) {
  if (!testing::have_scipy()) GTEST_SKIP() << "no SciPy";
  const testing::ReferenceChecks checks{{"own", check_own},
                                        {"known", check_known},
                                        {"share", check_share},
                                        {"mdc15", check_real_change}};
  auto done = testing::check_lines(testing::output_of_script("chance_statistics.py"), checks);
  EXPECT_EQ(done["own"], 36);
  EXPECT_EQ(done["known"], 9);
  EXPECT_EQ(done["share"], 12);
  EXPECT_EQ(done["mdc15"], 12);
}

/// SciPy's figures for a real change of 1.5 × MDC95, so that they hold without SciPy too.
TEST(Chance, ARealChangeTakesMoreThanOneDayASide) {
  const double real = 1.5 * 1.96 * std::sqrt(2.0);
  const auto known = [&](double n) {
    const double error = std::sqrt(2.0 / n);
    return chance_beyond(real, error, 1.96 * error);
  };
  EXPECT_NEAR(known(1), 0.836, 1e-3);
  EXPECT_NEAR(known(2), 0.986, 1e-3);
  EXPECT_NEAR(known(3), 0.999, 1e-3);
  EXPECT_NEAR(chance_by_own_repeats(real, std::sqrt(2.0), 5), 0.655, 1e-3);
  EXPECT_NEAR(chance_by_own_repeats(real, 1.0, 5), 0.908, 1e-3);
  EXPECT_NEAR(chance_by_own_repeats(0.0, 1.0, 5), 0.05, 1e-9);
}

}  // namespace
}  // namespace strapline::coaching
