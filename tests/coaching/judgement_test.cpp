#include "strapline/coaching/judgement.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace strapline::coaching {
namespace {

using ::testing::ElementsAre;

struct ValueCase {
  const char* what;
  double value, u;
  Band edges;
  RepVerdict verdict;
  std::optional<Edge> edge;
  double beyond;
};

// 1.959964 standard deviations hold 95 % of a normal distribution (any table of it).
const ValueCase kValues[] = {
    {"between two edges", 5, 1, {{0}, {10}}, RepVerdict::inside, {}, 0},
    {"clearly below", -3, 1, {{0}, {10}}, RepVerdict::outside, Edge::low, 3},
    {"clearly above", 14, 1, {{0}, {10}}, RepVerdict::outside, Edge::high, 4},
    {"just below, unsure", -1, 1, {{0}, {10}}, RepVerdict::too_close, Edge::low, 1},
    {"just inside, unsure", 9, 1, {{0}, {10}}, RepVerdict::too_close, Edge::high, -1},
    {"on the edge, unsure", 0, 1, {{0}, {}}, RepVerdict::too_close, Edge::low, 0},
    {"on the edge, exact", 0, 0, {{0}, {}}, RepVerdict::inside, {}, 0},
    {"on the upper edge, exact", 10, 0, {{0}, {10}}, RepVerdict::inside, {}, 0},
    {"a hair outside, exact", -1e-9, 0, {{0}, {}}, RepVerdict::outside, Edge::low, 1e-9},
    {"1.95 u outside", -1.95, 1, {{0}, {}}, RepVerdict::too_close, Edge::low, 1.95},
    {"1.97 u outside", -1.97, 1, {{0}, {}}, RepVerdict::outside, Edge::low, 1.97},
    {"1.97 u inside", 1.97, 1, {{0}, {}}, RepVerdict::inside, {}, 0},
    {"at most alone, far below", -100, 1, {{}, {10}}, RepVerdict::inside, {}, 0},
    {"at least alone, far above", 100, 1, {{0}, {}}, RepVerdict::inside, {}, 0},
    {"band narrower than u: nearest edge",
     7,
     10,
     {{0}, {10}},
     RepVerdict::too_close,
     Edge::high,
     -3},
    {"band narrower than u, clearly above",
     40,
     10,
     {{0}, {10}},
     RepVerdict::outside,
     Edge::high,
     30},
};

TEST(Judgement, OneValueAgainstABand) {
  for (const ValueCase& one : kValues) {
    const RepFinding finding = judge_value({one.value, one.u, dsp::Unit::radian}, one.edges);
    EXPECT_EQ(finding.verdict, one.verdict) << one.what;
    EXPECT_EQ(finding.edge, one.edge) << one.what;
    EXPECT_NEAR(finding.beyond, one.beyond, 1e-12) << one.what;
  }
}

RC_GTEST_PROP(Judgement, VerdictFollowsFromTheInterval, ()) {
  const double value = *rc::gen::inRange(-500, 500) / 10.0;
  const double u = *rc::gen::inRange(0, 50) / 10.0;
  const double low = *rc::gen::inRange(-300, 300) / 10.0;
  const double width = *rc::gen::inRange(1, 300) / 10.0;
  const Band band{low, low + width};
  const auto verdict = judge_value({value, u, dsp::Unit::one}, band).verdict;
  const double half = kEdgeCoverage * u;
  const bool all_in = value - half >= *band.low && value + half <= *band.high;
  const bool all_out = value + half <= *band.low || value - half >= *band.high;
  if (all_in) RC_ASSERT(verdict == RepVerdict::inside);
  if (!all_in && !all_out) RC_ASSERT(verdict == RepVerdict::too_close);
  if (all_out && half > 0.0) RC_ASSERT(verdict == RepVerdict::outside);
}

struct TallyCase {
  Tally tally;  // inside, outside, too close, not measured
  double strictness;
  SetVerdict verdict;
};

TEST(Judgement, SetAgainstStrictness) {
  const TallyCase cases[] = {
      {{5, 0, 0, 0}, 1.0, SetVerdict::met},         {{4, 1, 0, 0}, 0.8, SetVerdict::met},
      {{4, 1, 0, 0}, 0.9, SetVerdict::not_met},     {{3, 2, 0, 0}, 0.8, SetVerdict::not_met},
      {{3, 1, 1, 0}, 0.8, SetVerdict::cannot_tell}, {{4, 0, 1, 0}, 0.8, SetVerdict::met},
      {{3, 1, 0, 1}, 0.8, SetVerdict::cannot_tell}, {{2, 2, 1, 0}, 0.8, SetVerdict::not_met},
      {{0, 0, 5, 0}, 0.8, SetVerdict::cannot_tell}, {{0, 0, 0, 5}, 0.8, SetVerdict::not_judged},
      {{0, 0, 0, 0}, 0.8, SetVerdict::not_judged},  {{0, 5, 0, 0}, 0.1, SetVerdict::not_met},
      {{1, 4, 0, 0}, 0.1, SetVerdict::met},
  };
  for (const TallyCase& one : cases) {
    EXPECT_EQ(judge_tally(one.tally, one.strictness), one.verdict)
        << one.tally.inside << one.tally.outside << one.tally.too_close << one.tally.not_measured;
  }
  EXPECT_EQ(reps_needed(0.8, 5), 4);
  EXPECT_EQ(reps_needed(0.7, 10), 7);  // 0.7 · 10 is a hair above 7 in binary
  EXPECT_EQ(reps_needed(0.81, 5), 5);
  EXPECT_EQ(reps_needed(1.0, 3), 3);
}

AimBand band(const std::string& measure, Band edges, dsp::Unit unit = dsp::Unit::radian) {
  AimBand made;
  made.measure = measure;
  made.unit = unit;
  made.at = {{0.0, edges}};
  return made;
}

Aim aim_with(std::vector<AimBand> bands, double strictness = 0.8) {
  Aim aim;
  aim.name = aim.title = "test";
  aim.movement = "squat";
  aim.strictness = strictness;
  aim.bands = std::move(bands);
  return aim;
}

using Values = std::map<std::string, double>;

dsp::Rep rep(const Values& values, double u = 0.01) {
  dsp::Rep made;
  for (const auto& [name, value] : values) {
    made.measures[name] = dsp::MeasuredValue{value, u, dsp::Unit::radian};
  }
  return made;
}

JudgedSet set_of(std::vector<dsp::Rep> reps) {
  JudgedSet set;
  set.movement = "squat";
  set.reps = std::move(reps);
  return set;
}

TEST(Judgement, EveryWornSideIsJudgedAndPartRepsAreNot) {
  dsp::Rep part = rep({{"thigh_depth_left", -1.0}, {"thigh_depth_right", -1.0}});
  part.part = true;
  const auto judged =
      judge_set(aim_with({band("thigh_depth", {0.0, {}})}),
                set_of({rep({{"thigh_depth_left", 0.1}, {"thigh_depth_right", -0.3}}), part,
                        rep({{"thigh_depth_left", 0.2}, {"thigh_depth_right", 0.3}})}));
  ASSERT_EQ(judged.measures.size(), 2U);
  EXPECT_EQ(judged.measures[0].measure, "thigh_depth_left");
  EXPECT_EQ(judged.measures[0].verdict, SetVerdict::met);
  EXPECT_EQ(judged.measures[1].verdict, SetVerdict::not_met);
  EXPECT_EQ(judged.measures[1].reps[1].rep, 2U);  // the part rep keeps its place
  ASSERT_EQ(judged.reps.size(), 2U);
  EXPECT_EQ(judged.reps[0].verdict, RepVerdict::outside);
  EXPECT_EQ(judged.reps[1].verdict, RepVerdict::inside);
  EXPECT_EQ(judged.verdict, SetVerdict::not_met);
  EXPECT_THAT(judged.matters_most, ElementsAre(1U));
}

TEST(Judgement, WhatNoSensorMeasuredIsSaidAndDecidesNothing) {
  dsp::Rep one = rep({{"thigh_depth_left", 0.1}});
  one.measures["thigh_depth_right"] = dsp::NotMeasured{"needs a strap on right_thigh"};
  const auto judged = judge_set(
      aim_with({band("thigh_depth", {0.0, {}}), band("trunk_lean", {{}, 0.5})}), set_of({one}));
  ASSERT_EQ(judged.measures.size(), 3U);
  EXPECT_EQ(judged.measures[1].verdict, SetVerdict::not_judged);
  EXPECT_EQ(judged.measures[1].reps[0].not_measured, "needs a strap on right_thigh");
  EXPECT_EQ(judged.measures[2].measure, "trunk_lean");  // no rep knows it
  EXPECT_EQ(judged.measures[2].reps[0].verdict, RepVerdict::not_measured);
  EXPECT_EQ(judged.verdict, SetVerdict::met);
}

TEST(Judgement, AMeasureMissingInOneRepMayLeaveTheSetOpen) {
  dsp::Rep hidden;
  hidden.measures["trunk_lean"] = dsp::NotMeasured{"a gap"};
  const auto inside = rep({{"trunk_lean", 0.1}});
  const auto judged =
      judge_set(aim_with({band("trunk_lean", {{}, 0.5})}, 1.0), set_of({inside, hidden, inside}));
  EXPECT_EQ(judged.reps[1].verdict, RepVerdict::not_measured);
  EXPECT_EQ(judged.verdict, SetVerdict::cannot_tell);
}

// Lunges in turn: each rep is asked about its own leg alone.
TEST(Judgement, TheOtherLegIsNotAskedAboutInARepOfOneLeg) {
  std::vector<dsp::Rep> reps;
  for (int i = 0; i < 4; ++i) {
    const bool left = i % 2 == 0;
    dsp::Rep one = rep({{left ? "knee_flexion_left" : "knee_flexion_right", left ? 1.8 : 1.2}});
    one.measures[left ? "knee_flexion_right" : "knee_flexion_left"] =
        dsp::NotMeasured{"the other leg works in this rep"};
    one.side = left ? dsp::Side::left : dsp::Side::right;
    reps.push_back(one);
  }
  const auto judged = judge_set(aim_with({band("knee_flexion", {1.5, {}})}, 0.5), set_of(reps));
  ASSERT_EQ(judged.measures.size(), 2U);
  EXPECT_EQ(judged.measures[0].tally.all(), 2);
  EXPECT_EQ(judged.measures[0].verdict, SetVerdict::met);
  EXPECT_EQ(judged.measures[0].reps[1].verdict, RepVerdict::other_side);
  EXPECT_EQ(judged.measures[1].verdict, SetVerdict::not_met);
  EXPECT_EQ(judged.reps[0].verdict, RepVerdict::inside);
  EXPECT_EQ(judged.reps[1].verdict, RepVerdict::outside);
  EXPECT_EQ(judged.verdict, SetVerdict::met);  // two of four
}

TEST(Judgement, NoFullRepIsNotJudged) {
  EXPECT_EQ(judge_set(aim_with({band("trunk_lean", {{}, 0.5})}), set_of({})).verdict,
            SetVerdict::not_judged);
}

TEST(Judgement, OutsideItsLoadsAnAimSaysNothing) {
  Aim aim = aim_with({band("trunk_lean", {{}, 0.5})});
  aim.holds_for = LoadRange{LoadScale::kg, {20.0, 60.0}};
  JudgedSet set = set_of({rep({{"trunk_lean", 0.9}})});
  const auto at = [&](std::optional<double> kg) {
    set.with.load_kg = kg;
    return judge_set(aim, set);
  };
  EXPECT_EQ(at(20.0).holding, Holding::holds);
  EXPECT_EQ(at(60.0).holding, Holding::holds);
  EXPECT_EQ(at(60.0).verdict, SetVerdict::not_met);
  EXPECT_EQ(at(19.0).holding, Holding::load_too_low);
  EXPECT_EQ(at(60.5).holding, Holding::load_too_high);
  EXPECT_TRUE(at(60.5).measures.empty());
  EXPECT_EQ(at(60.5).verdict, SetVerdict::not_judged);
  EXPECT_EQ(at({}).holding, Holding::load_unknown);
  EXPECT_EQ(at({}).verdict, SetVerdict::not_met);  // judged, and said
  aim.holds_for = LoadRange{LoadScale::body_mass, {{}, 1.0}};
  EXPECT_EQ(at(60.0).holding, Holding::body_mass_unknown);
  set.with.body_mass_kg = 50.0;
  EXPECT_EQ(at(60.0).holding, Holding::load_too_high);
  EXPECT_EQ(at(50.0).holding, Holding::holds);
}

TEST(Judgement, AnotherMovementIsNotJudgedAndAnotherVariationIsSaid) {
  Aim aim = aim_with({band("trunk_lean", {{}, 0.5})});
  aim.variation = "heels raised";
  JudgedSet set = set_of({rep({{"trunk_lean", 0.1}})});
  EXPECT_EQ(judge_set(aim, set).other_variation, "");
  set.variation = "heels raised";
  EXPECT_FALSE(judge_set(aim, set).other_variation);
  set.movement = "front_squat";
  EXPECT_EQ(judge_set(aim, set).holding, Holding::other_movement);
  EXPECT_TRUE(judge_set(aim, set).measures.empty());
}

TEST(Judgement, ABandThatTightensIsTheOneOfTheLoad) {
  AimBand knee = band("knee_line_distance", {{}, 0.05}, dsp::Unit::metre);
  knee.at = {{0.0, {{}, 0.05}}, {100.0, {{}, 0.01}}};
  JudgedSet set = set_of({rep({{"knee_line_distance_left", 0.035}}, 0.001)});
  const auto at = [&](std::optional<double> kg) {
    set.with.load_kg = kg;
    return judge_set(aim_with({knee}), set);
  };
  EXPECT_EQ(at(0.0).verdict, SetVerdict::met);
  EXPECT_EQ(at(80.0).verdict, SetVerdict::not_met);
  EXPECT_NEAR(at(80.0).measures[0].reps[0].beyond, 0.017, 1e-12);
  EXPECT_EQ(at({}).measures[0].unknown, Unknown::load);
  EXPECT_EQ(at({}).verdict, SetVerdict::not_judged);
}

// Both are outside in every rep: 0.2 rad of trunk lean is 2.3 smallest differences, 0.2 of depth
// for this client 4, and one rep in four alone counts a quarter.
TEST(Judgement, WhatMattersMostIsShareTimesDistance) {
  std::vector<dsp::Rep> reps(4, rep({{"trunk_lean", 0.7},
                                     {"thigh_depth_left", -0.2},
                                     {"thigh_depth_right", -0.2},
                                     {"knee_flexion_left", 1.0}}));
  reps[0].measures["knee_flexion_left"] = dsp::MeasuredValue{0.4, 0.01, dsp::Unit::radian};
  JudgedSet set = set_of(reps);
  set.smallest_that_matters["thigh_depth"] = 0.05;
  const Aim aim = aim_with({band("thigh_depth", {0.0, {}}), band("knee_flexion", {0.9, {}}),
                            band("trunk_lean", {{}, 0.5})});
  const auto judged = judge_set(aim, set);
  ASSERT_EQ(judged.matters_most.size(), 2U);
  EXPECT_EQ(judged.measures[judged.matters_most[0]].measure, "thigh_depth_left");
  EXPECT_NEAR(judged.measures[judged.matters_most[0]].weight, 4.0, 1e-9);
  EXPECT_EQ(judged.measures[judged.matters_most[1]].measure, "trunk_lean");  // not the other side
  EXPECT_NEAR(judged.measures[judged.matters_most[1]].weight,
              0.2 / default_difference(dsp::Unit::radian), 1e-9);
}

TEST(Judgement, AnUncertainExcessWeighsLessAndNoneWeighsNothing) {
  const Aim aim = aim_with({band("trunk_lean", {{}, 0.5})});
  const auto sure = judge_set(aim, set_of({rep({{"trunk_lean", 1.5}}, 0.01)}));
  const auto unsure = judge_set(aim, set_of({rep({{"trunk_lean", 1.5}}, 0.4)}));
  EXPECT_GT(sure.measures[0].weight, unsure.measures[0].weight);
  EXPECT_NEAR(unsure.measures[0].weight, 2.5, 1e-9);
  EXPECT_TRUE(judge_set(aim, set_of({rep({{"trunk_lean", 0.1}})})).matters_most.empty());
}

}  // namespace
}  // namespace strapline::coaching
