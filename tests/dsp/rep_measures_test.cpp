#include "../../dsp/src/rep_measures.hpp"

#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

/// One rep over all of the trace, turning at its third sample.
MeasuredValue measured(const char* base, Side side, const char* name, const Eigen::VectorXd& value,
                       const Eigen::VectorXd& u) {
  const MeasureTrace trace{base, side, Unit::radian, value, u, {}};
  const Eigen::VectorXd t = Eigen::VectorXd::LinSpaced(value.size(), 0.0, 0.3);
  Excursion rep;
  rep.end.time_s = t[t.size() - 1];
  rep.turn_index = 2;
  Rep out;
  add_statistics(trace, t, rep, out);
  const auto* seen = std::get_if<MeasuredValue>(&out.measures.at(name));
  return seen == nullptr ? MeasuredValue{kNaN, kNaN, Unit::radian} : *seen;
}

TEST(RepMeasures, AMaximumThatIsTheLeastCertainSampleIsAsUncertainAsThat) {
  const auto depth =
      measured("thigh_depth", Side::left, "thigh_depth_left", Eigen::Vector4d(0.1, 0.5, 0.9, 0.4),
               Eigen::Vector4d(1, 2, 4, 2) / 100);
  EXPECT_DOUBLE_EQ(depth.value, 0.9);
  EXPECT_NEAR(depth.u, 0.04, 1e-12);
}

TEST(RepMeasures, AMaximumIsAsUncertainAsWhereItMayLieInsteadOnOneSide) {
  // Standing shows 0.02 for certain; the depth shows less, but may well hold up to 0.09.
  const auto line =
      measured("knee_line_angle", Side::right, "knee_line_angle_right",
               Eigen::Vector4d(0.02, 0.0, 0.01, kNaN), Eigen::Vector4d(0.001, 0.02, 0.04, 9.0));
  EXPECT_DOUBLE_EQ(line.value, 0.02);
  EXPECT_NEAR(line.u, 0.035 * (0.84 + 0.16 * std::pow(0.001 / 0.035, 4)), 1e-12);
}

// One error moves all samples, each by its own standard uncertainty: how often the true maximum
// then lies within 1.96 u of the one measured.
TEST(RepMeasures, AMaximumsUncertaintyHoldsNinetyFiveOfAHundred) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  for (const double deep_u : {0.01, 0.012, 0.02, 0.05, 0.2}) {
    const Eigen::Vector4d value(0.02, 0.0, 0.018, kNaN), u(0.01, 0.01, deep_u, 9.0);
    const auto line = measured("knee_line_angle", Side::right, "knee_line_angle_right", value, u);
    int inside = 0;
    constexpr int kDraws = 20000;
    for (int k = 0; k < kDraws; ++k) {
      const double truth = (value + normal(random) * u).head<3>().maxCoeff();
      if (std::abs(truth - line.value) <= 1.96 * line.u) ++inside;
    }
    EXPECT_NEAR(static_cast<double>(inside) / kDraws, 0.95, 0.02) << deep_u;
  }
}

TEST(RepMeasures, TheLargestSizeIsAsUncertainAsWhereItMayLieInsteadOnOneSide) {
  const auto lean =
      measured("trunk_side_lean", Side::middle, "trunk_side_lean",
               Eigen::Vector4d(-0.03, 0.01, 0.02, 0.0), Eigen::Vector4d(0.001, 0.01, 0.03, 0.001));
  EXPECT_DOUBLE_EQ(lean.value, -0.03);
  EXPECT_NEAR(lean.u, 0.025 * (0.84 + 0.16 * std::pow(0.005 / 0.025, 4)), 1e-12);
}

TEST(RepMeasures, AtTheTurnTheSampleItselfCounts) {
  const auto lean =
      measured("trunk_lean", Side::middle, "trunk_lean", Eigen::Vector4d(0.9, 0.5, 0.4, 0.2),
               Eigen::Vector4d(9, 9, 1, 9) / 100);
  EXPECT_DOUBLE_EQ(lean.value, 0.4);
  EXPECT_DOUBLE_EQ(lean.u, 0.01);
}

}  // namespace
}  // namespace strapline::dsp
