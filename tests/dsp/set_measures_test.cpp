// Steadiness, left less right and velocity loss against values worked out by hand here (SD with n −
// 1, Bessel's correction; its standard uncertainty sd/√(2(n − 1)), common statistics).
#include "../../dsp/src/set_measures.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

MeasuredValue degrees(double value, double u) { return {value, u, Unit::radian}; }

const MeasuredValue& value(const MeasureMap& measures, const std::string& name) {
  return std::get<MeasuredValue>(measures.at(name));
}

Rep rep(double start_s, MeasureMap measures) {
  Rep made;
  made.start_s = start_s;
  made.end_s = start_s + 2.0;
  made.measures = std::move(measures);
  return made;
}

TEST(LeftLessRight, IsOfTheSameRepAndOnlyWhereBothSidesAreMeasured) {
  std::vector<Rep> reps{rep(0.0, {{"knee_flexion_left", degrees(100.0, 3.0)},
                                  {"knee_flexion_right", degrees(96.0, 4.0)},
                                  {"hip_flexion_left", degrees(90.0, 3.0)},
                                  {"hip_flexion_right", NotMeasured{"needs a strap"}}})};
  add_left_less_right(reps);
  EXPECT_DOUBLE_EQ(value(reps[0].measures, "knee_flexion_difference").value, 4.0);
  EXPECT_DOUBLE_EQ(value(reps[0].measures, "knee_flexion_difference").u, 5.0);
  EXPECT_FALSE(reps[0].measures.contains("hip_flexion_difference"));
}

TEST(MeasuresOfSet, SpreadLeavesPartRepsOut) {
  std::vector<Rep> reps;
  for (const double depth : {1.0, 2.0, 3.0})
    reps.push_back(rep(0.0, {{"range", degrees(depth, 0.1)}}));
  reps.push_back(rep(0.0, {{"range", degrees(0.2, 0.1)}}));
  reps.back().part = true;
  const MeasureMap set = measures_of_set(reps, {}, Eigen::VectorXd::LinSpaced(2, 0.0, 1.0));
  EXPECT_DOUBLE_EQ(value(set, "range_sd").value, 1.0);
  EXPECT_DOUBLE_EQ(value(set, "range_sd").u, 0.5);
}

TEST(MeasuresOfSet, TwoRepsShowNoSpread) {
  const std::vector<Rep> reps(2, rep(0.0, {{"range", degrees(1.0, 0.1)}}));
  EXPECT_FALSE(
      measures_of_set(reps, {}, Eigen::VectorXd::LinSpaced(2, 0.0, 1.0)).contains("range_sd"));
}

TEST(MeasuresOfSet, CurvesAreComparedPhaseByPhaseWhateverTheirPace) {
  // Three half waves of the same shape, offset by −0.1, 0 and 0.1, the second one faster.
  const Eigen::VectorXd t = Eigen::VectorXd::LinSpaced(1001, 0.0, 10.0);
  Trace trace{"thigh_depth_left", Unit::radian, Eigen::VectorXd::Zero(1001)};
  std::vector<Rep> reps{rep(0.5, {}), rep(4.0, {}), rep(7.0, {})};
  reps[1].end_s = 5.0;
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const double offset = 0.1 * (static_cast<double>(k) - 1.0);
    for (Eigen::Index i = 0; i < 1001; ++i) {
      const double share = (t[i] - reps[k].start_s) / (reps[k].end_s - reps[k].start_s);
      if (share < -0.02 || share > 1.02) continue;
      trace.value[i] = offset + std::sin(std::numbers::pi * share);
    }
  }
  const MeasureMap set = measures_of_set(reps, {trace}, t);
  EXPECT_NEAR(value(set, "thigh_depth_curve_sd_left").value, 0.1, 1e-3);
}

TEST(MeasuresOfSet, VelocityLossIsAgainstTheFastestRep) {
  std::vector<Rep> reps;
  for (const double v : {0.8, 1.0, 0.7}) {
    reps.push_back(
        rep(0.0, {{"concentric_velocity", MeasuredValue{v, 0.02, Unit::metre_per_second}}}));
  }
  const MeasureMap set = measures_of_set(reps, {}, Eigen::VectorXd::LinSpaced(2, 0.0, 1.0));
  EXPECT_NEAR(value(set, "velocity_loss").value, 0.3, 1e-12);
  EXPECT_NEAR(value(set, "velocity_loss").u, std::hypot(0.02, 0.7 * 0.02), 1e-12);
}

TEST(MeasuresOfSet, LegsThatTakeTurnsAreComparedOverTheSet) {
  std::vector<Rep> reps;
  for (int k = 0; k < 4; ++k) {
    const bool left = k % 2 == 0;
    reps.push_back(rep(
        0.0, {{left ? "thigh_depth_left" : "thigh_depth_right", degrees(left ? 0.2 : 0.1, 0.03)},
              {left ? "thigh_depth_right" : "thigh_depth_left",
               NotMeasured{"the other leg works in this rep"}}}));
    reps.back().side = left ? Side::left : Side::right;
  }
  const MeasureMap set = measures_of_set(reps, {}, Eigen::VectorXd::LinSpaced(2, 0.0, 1.0));
  EXPECT_NEAR(value(set, "thigh_depth_difference").value, 0.1, 1e-12);
  EXPECT_NEAR(value(set, "thigh_depth_difference").u, 0.03 * std::numbers::sqrt2, 1e-12);
}

}  // namespace
}  // namespace strapline::dsp
