#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <gtest/gtest.h>

#include "strapline/dsp/error_budget.hpp"
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

double u_degrees(const Rep& rep, const std::string& name) {
  return std::get<MeasuredValue>(rep.measures.at(name)).u / kDegree;
}

/// A rest that nobody marked is found once the straps' motion is known, and is then what depth is
/// judged against, as a marked one is: without that, what standing
/// was off would not count.
TEST(AnalyseSet, DepthIsAsSureAgainstStandingThatWasFoundAsAgainstMarked) {
  SetInput marked = squat_input();
  marked.body.standing_lean = 0.0;
  marked.body.soft_tissue_thigh = marked.body.soft_tissue_limb = 0.0;
  for (StrapSeries& strap : marked.straps) strap.errors.acc_bias_sd = 0.3;
  SetInput found = marked;
  found.parts.still.reset();
  const auto a = analyse_set(marked), b = analyse_set(found);
  ASSERT_TRUE(a && b);
  ASSERT_EQ(a->full_reps(), 5);
  ASSERT_EQ(b->full_reps(), 5);
  for (std::size_t k = 0; k < 5; ++k) {
    const double u = u_degrees(a->reps[k], "thigh_depth_left");
    EXPECT_NEAR(u_degrees(b->reps[k], "thigh_depth_left"), u, 0.1 * u) << k;
    EXPECT_LT(u, 0.8) << "degrees: the offset alone, seen from both ends, is more";
  }
}

/// By how much a rep's variance (degrees²) of a measure is less where its client, plumb and firm,
/// stood for all of the still part than for a second of it, and how much a leg's sway is.
struct LessSway {
  double of_measure, of_leg;
};

LessSway less_by_standing_longer(const std::string& measure) {
  SetInput input = squat_input();
  input.body.standing_lean = 0.0;
  input.body.soft_tissue_thigh = input.body.soft_tissue_limb = 0.0;
  const auto longer = analyse_set(input);
  const Interval longest = *input.parts.still;
  input.parts.still = Interval{0.5, 1.5};
  const auto brief = analyse_set(input);
  if (!longer || !brief) throw std::runtime_error("no analysis");
  const auto variance = [&](const SetAnalysis& set) {
    return std::pow(u_degrees(set.reps.front(), measure), 2);
  };
  // A leg sways half as far as a trunk.
  const auto sway = [](double seconds) { return std::pow(0.5 * mean_sway(seconds) / kDegree, 2); };
  return {variance(*brief) - variance(*longer), sway(1.0) - sway(longest.length())};
}

/// Sway averages out the more, the longer one stands.
TEST(AnalyseSet, ALongerStillPartMakesDepthSurer) {
  const LessSway less = less_by_standing_longer("thigh_depth_left");
  EXPECT_GT(less.of_measure, 0.9 * less.of_leg);
}

TEST(AnalyseSet, HowAStraightLegSwaysIsNotInItsKnee) {
  const LessSway less = less_by_standing_longer("knee_flexion_left");
  EXPECT_LT(less.of_measure, 0.5 * less.of_leg) << "of two segments apart: 2";
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

TEST(AnalyseSet, AVerticalHingeIsSaidInsteadOfMeasured) {
  SetInput input = squat_input();
  const double shares[] = {1.0, -0.25};
  for (std::size_t k = 0; k < 2; ++k) {  // lying on the side: the knees bend about the vertical
    SwingingStrap strap;
    strap.axis = world_up();
    strap.swing = [share = shares[k]](double t) { return squats(t, share); };
    strap.q_segment_from_sensor = exp_rotation(Vector3d(0.1, 0.5, 0.15));
    input.straps[k].data = strap.record(42.0, 100.0);
  }
  input.movement.range_angle = RangeAngle::knee_flexion;
  const auto result = analyse_set(input);
  ASSERT_TRUE(result) << result.error().line();
  ASSERT_FALSE(result->reps.empty());
  for (const char* name : {"knee_flexion_left", "thigh_depth_left", "knee_line_distance_left"}) {
    const auto* missing = std::get_if<NotMeasured>(&result->reps.front().measures.at(name));
    ASSERT_NE(missing, nullptr) << name;
    EXPECT_NE(missing->reason.find("vertical axis"), std::string::npos) << missing->reason;
  }
}

/// Standing bends; then the client lies down on the side, and the knees bend about the vertical.
InertialSeries bends_then_lying(double share) {
  const Eigen::Quaterniond mounted = exp_rotation(Vector3d(0.1, 0.5, 0.15));
  const double lying = -90.0 * kDegree;  // about X: Z comes to point up
  SwingingStrap strap;
  strap.q_segment_from_sensor = mounted;
  strap.swing = [share](double t) { return squats(t, share); };
  InertialSeries all = strap.record(42.0, 100.0);
  strap.axis = Vector3d::UnitX();
  strap.swing = [lying](double t) {  // half a raised cosine from 13.5 s, 1.5 s long
    const Swing down = testing::bends(std::min(t, 15.0), 13.5, 1, 3.0, 0.0, lying);
    return t < 15.0 ? down : Swing{lying, 0.0, 0.0};
  };
  const InertialSeries down = strap.record(42.0, 100.0);
  strap.axis = world_up();
  strap.arm = exp_rotation(lying * Vector3d::UnitX()) * strap.arm;
  strap.q_segment_from_sensor = exp_rotation(lying * Vector3d::UnitX()) * mounted;
  strap.swing = [share](double t) { return squats(t, share); };
  const InertialSeries set = strap.record(42.0, 100.0);
  for (Eigen::Index i = 0; i < all.t.size(); ++i) {
    if (all.t[i] < 13.2) continue;
    const InertialSeries& from = all.t[i] < 15.5 ? down : set;
    all.acc.col(i) = from.acc.col(i);
    all.gyr.col(i) = from.gyr.col(i);
  }
  return all;
}

TEST(AnalyseSet, FlexionAboutAnUprightAxisCarriesTheHeadingsUncertainty) {
  SetInput level = squat_input();
  level.movement.range_angle = RangeAngle::knee_flexion;
  level.parts.align = Interval{4.0, 13.2};
  SetInput upright = level;
  upright.straps[0].data = bends_then_lying(1.0);
  upright.straps[1].data = bends_then_lying(-0.25);
  const auto one = analyse_set(level).value();
  const auto other = analyse_set(upright).value();
  ASSERT_EQ(other.full_reps(), 5);
  const auto flexion = [](const SetAnalysis& set) {
    return std::get<MeasuredValue>(set.reps.back().measures.at("knee_flexion_left"));
  };
  EXPECT_GT(flexion(other).u, flexion(one).u);
  EXPECT_LT(std::abs(flexion(other).value - 125.0 * kDegree), 2.0 * flexion(other).u);
}

/// The strap slips by `turn` (sensor frame) within half a second from `from_s` on.
void slip(StrapSeries& strap, double from_s, const Vector3d& turn) {
  constexpr double kSlipTime = 0.5;
  for (Eigen::Index i = 0; i < strap.data.size(); ++i) {
    const double share = (strap.data.t[i] - from_s) / kSlipTime;
    if (share <= 0.0) continue;
    const Eigen::Quaterniond back = exp_rotation(-std::min(1.0, share) * turn);
    strap.data.acc.col(i) = back * strap.data.acc.col(i);
    strap.data.gyr.col(i) = back * strap.data.gyr.col(i);
    if (share < 1.0) strap.data.gyr.col(i) += turn / kSlipTime;
  }
}

TEST(AnalyseSet, AStrapThatSlippedIsToldByStandingStillAgain) {
  SetInput input = squat_input();
  input.parts.set = Interval{15.0, 38.2};
  input.parts.still_after = Interval{39.0, 41.5};
  const auto as_before = analyse_set(input).value();
  for (const StrapReport& strap : as_before.straps) {
    ASSERT_TRUE(strap.shift);
    EXPECT_LT(strap.shift->tilt, strap.shift->u);
  }
  // Upright, the thigh's up in its strap is near the sensor's y: a turn about x tilts it.
  slip(input.straps[0], 38.3, {8.0 * kDegree, 0.0, 0.0});
  const auto slipped = analyse_set(input).value();
  EXPECT_NEAR(slipped.straps[0].shift->tilt, 8.0 * kDegree, 1.5 * kDegree);
  EXPECT_LT(slipped.straps[1].shift->tilt, slipped.straps[1].shift->u);
  const auto says = [](const SetAnalysis& set) {
    return std::any_of(set.notes.begin(), set.notes.end(), [](const std::string& note) {
      return note.starts_with("the strap on left_thigh sits differently");
    });
  };
  EXPECT_FALSE(says(as_before));
  EXPECT_TRUE(says(slipped));
  const auto depth_u = [](const SetAnalysis& set) {
    return std::get<MeasuredValue>(set.reps.front().measures.at("thigh_depth_left")).u;
  };
  EXPECT_GT(depth_u(slipped), depth_u(as_before) + 1.0 * kDegree);
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
