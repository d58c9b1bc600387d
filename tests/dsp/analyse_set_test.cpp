#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/set_analysis.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Vector3d;
using testing::kDegree;
using testing::Swing;
using testing::SwingingStrap;

constexpr double kSetStart = 16.0;

/// Still, three shallow bends, then five squats; the shank leans a quarter as far as the thigh
/// turns.
Swing squats(double t, double share) {
  const Swing easy = testing::bends(t, 4.0, 3, 2.5, 0.8, share * 40.0 * kDegree);
  const Swing full = testing::bends(t, kSetStart, 5, 3.0, 1.5, share * 100.0 * kDegree);
  return {easy.angle + full.angle, easy.rate + full.rate, easy.acceleration + full.acceleration};
}

StrapSeries strap_on(Placement placement, double share, const Vector3d& mounting) {
  SwingingStrap strap;
  strap.swing = [share](double t) { return squats(t, share); };
  strap.arm = Vector3d(0.05, share > 0.0 ? -0.2 : 0.2, 0.0);
  strap.q_segment_from_sensor = exp_rotation(mounting);
  return {placement, strap.record(42.0, 100.0), {}};
}

SetInput squat_input() {
  SetInput input;
  input.straps = {strap_on({Segment::thigh, Side::left}, 1.0, {0.1, 0.5, 0.15}),
                  strap_on({Segment::shank, Side::left}, -0.25, {-0.1, -0.4, 0.1})};
  input.parts.still = Interval{0.5, 3.5};
  input.parts.align = Interval{4.0, 14.0};
  input.parts.set = Interval{15.0, 41.0};
  input.body.height = 1.8;
  input.movement.measures = {"thigh_depth", "knee_flexion", "knee_line_distance", "trunk_lean"};
  return input;
}

double degrees(const Rep& rep, const std::string& name) {
  return std::get<MeasuredValue>(rep.measures.at(name)).value / kDegree;
}

TEST(AnalyseSet, MeasuresAPlanarSquat) {
  const auto result = analyse_set(squat_input());
  ASSERT_TRUE(result) << result.error().line();
  ASSERT_EQ(result->full_reps(), 5);
  for (const Rep& rep : result->reps) {
    EXPECT_NEAR(degrees(rep, "thigh_depth_left"), 10.0, 0.7);
    EXPECT_NEAR(degrees(rep, "knee_flexion_left"), 125.0, 1.0);
    EXPECT_NEAR(degrees(rep, "range"), 100.0, 1.0);
    EXPECT_NEAR(std::get<MeasuredValue>(rep.measures.at("knee_line_distance_left")).value, 0.0,
                0.005);
  }
  EXPECT_GT(result->reps.front().start_s, kSetStart);
  EXPECT_LT(result->reps.front().start_s, kSetStart + 0.3);
}

TEST(AnalyseSet, WhatIsNotWornIsNotMeasuredAndNamesThePlacement) {
  const auto result = analyse_set(squat_input());
  ASSERT_TRUE(result);
  const auto& lean = std::get<NotMeasured>(result->reps.front().measures.at("trunk_lean"));
  EXPECT_EQ(lean.reason, "needs a strap on chest");
  const auto& right = std::get<NotMeasured>(result->reps.front().measures.at("thigh_depth_right"));
  EXPECT_EQ(right.reason, "needs a strap on right_thigh");
}

TEST(AnalyseSet, TheOrderOfTheStrapsDoesNotMatter) {
  SetInput input = squat_input();
  const auto one = analyse_set(input);
  std::swap(input.straps[0], input.straps[1]);
  const auto other = analyse_set(input);
  ASSERT_TRUE(one && other);
  ASSERT_EQ(one->reps.size(), other->reps.size());
  for (std::size_t k = 0; k < one->reps.size(); ++k) {
    EXPECT_DOUBLE_EQ(degrees(one->reps[k], "knee_flexion_left"),
                     degrees(other->reps[k], "knee_flexion_left"));
  }
}

TEST(AnalyseSet, AShiftOfTimeShiftsTheBordersAndNothingElse) {
  SetInput input = squat_input();
  const auto one = analyse_set(input);
  constexpr double kShift = 1000.0;
  for (StrapSeries& strap : input.straps) strap.data.t.array() += kShift;
  for (auto* part : {&input.parts.still, &input.parts.align, &input.parts.set}) {
    (*part)->from_s += kShift;
    (*part)->to_s += kShift;
  }
  const auto other = analyse_set(input);
  ASSERT_TRUE(one && other);
  ASSERT_EQ(one->reps.size(), other->reps.size());
  for (std::size_t k = 0; k < one->reps.size(); ++k) {
    EXPECT_NEAR(other->reps[k].start_s - kShift, one->reps[k].start_s, 1e-6);
    EXPECT_NEAR(degrees(other->reps[k], "thigh_depth_left"),
                degrees(one->reps[k], "thigh_depth_left"), 1e-6);
  }
}

TEST(AnalyseSet, OneStrapOfAnyPlaceGivesRepsAndTempo) {
  SetInput input = squat_input();
  input.straps = {strap_on({Segment::other, Side::middle}, 1.0, {0.4, 0.9, -0.3})};
  input.parts = {};
  input.movement = {"free", RangeAngle::strongest_turn, FirstPhase::lowering, {}, {}, 0.26};
  const auto result = analyse_set(input);
  ASSERT_TRUE(result);
  ASSERT_EQ(result->full_reps(), 5);
  const Rep& rep = result->reps.back();
  EXPECT_NEAR(degrees(rep, "range"), 100.0, 2.0);
  EXPECT_TRUE(std::holds_alternative<MeasuredValue>(rep.measures.at("lowering_s")));
}

TEST(AnalyseSet, WithoutStandingStillDepthIsNotMeasuredButRepsAre) {
  SwingingStrap strap;  // squats without a rest, cut in the middle of the first and of the last
  strap.swing = [](double t) { return testing::bends(t, -1.0, 8, 3.0, 0.0, 100.0 * kDegree); };
  SetInput input = squat_input();
  input.straps = {{{Segment::thigh, Side::left}, strap.record(20.0, 100.0), {}}};
  input.parts = {};
  const auto result = analyse_set(input);
  ASSERT_TRUE(result);
  EXPECT_GE(result->full_reps(), 6);
  for (const Rep& rep : result->reps) {
    EXPECT_TRUE(std::holds_alternative<NotMeasured>(rep.measures.at("thigh_depth_left")));
    EXPECT_TRUE(std::holds_alternative<MeasuredValue>(rep.measures.at("range")));
  }
}

TEST(AnalyseSet, RefusesWithOneLineWhatItCannotUse) {
  SetInput input = squat_input();
  input.straps.clear();
  EXPECT_FALSE(analyse_set(input));
  input = squat_input();
  input.movement.required = {Segment::chest};
  const auto result = analyse_set(input);
  ASSERT_FALSE(result);
  EXPECT_EQ(result.error().line(),
            "placements: the movement squat needs a strap on a chest; wear it, or review with "
            "--movement free");
}

/// One bend by `range`, before which the client stands still.
Result<SetAnalysis> single_bend(double range) {
  SwingingStrap strap;
  strap.swing = [range](double t) { return testing::bends(t, 8.0, 1, 3.0, 0.0, range); };
  SetInput input;
  input.straps = {{{Segment::thigh, Side::left}, strap.record(20.0, 100.0), {}}};
  input.parts.still = Interval{0.5, 5.0};
  return analyse_set(input);
}

TEST(AnalyseSet, ALoneExcursionIsARepOnlyWhereItIsDeep) {
  const auto deep = single_bend(95.0 * kDegree);
  const auto stride = single_bend(34.0 * kDegree);
  ASSERT_TRUE(deep && stride);
  EXPECT_EQ(deep->full_reps(), 1);
  EXPECT_TRUE(stride->reps.empty());
}

}  // namespace
}  // namespace strapline::dsp
