#include "strapline/coaching/wording_judgement.hpp"

#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judging_words.hpp"

namespace strapline::coaching {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kDegree = std::numbers::pi / 180.0;

dsp::Rep rep(double depth_deg, double lean_deg, double u_deg = 1.0) {
  dsp::Rep made;
  made.measures["thigh_depth_left"] =
      dsp::MeasuredValue{depth_deg * kDegree, u_deg * kDegree, dsp::Unit::radian};
  made.measures["thigh_depth_right"] = dsp::NotMeasured{"needs a strap on right_thigh"};
  made.measures["trunk_lean"] =
      dsp::MeasuredValue{lean_deg * kDegree, u_deg * kDegree, dsp::Unit::radian};
  return made;
}

const std::string kToml = R"(name = "deep"
title = "Deep"
movement = "squat"
purpose = "Depth."
strictness = 0.75
[load]
at_most_kg = 60
[bands.thigh_depth]
at_least = 0
why = "Depth is the point."
source = "common practice"
[bands.trunk_lean]
with_load = [ { kg = 0, at_least = 10, at_most = 50 }, { kg = 40, at_least = 10, at_most = 40 } ]
why = "Upright."
source = "common practice"
)";

Aim deep() { return *parse_aim(kToml, "deep.toml"); }

JudgedSet set_of(std::vector<dsp::Rep> reps, std::optional<double> kg = 20.0) {
  JudgedSet set;
  set.movement = "squat";
  set.with.load_kg = kg;
  set.reps = std::move(reps);
  return set;
}

TEST(WordingOfJudgements, EdgesBandsAndLoads) {
  const Aim aim = deep();
  EXPECT_EQ(say_edges({0.0, {}}, dsp::Unit::radian), "at least 0.0°");
  EXPECT_EQ(say_edges({{}, 0.03}, dsp::Unit::metre), "at most 3.0 cm");
  EXPECT_EQ(say_edges({3.0, 5.0}, dsp::Unit::second), "3.00 s to 5.00 s");
  EXPECT_EQ(say_band(aim.bands[1]),
            "10.0° to 50.0° at 0 kg; 10.0° to 40.0° at 40 kg; in between in proportion");
  EXPECT_EQ(say_loads(aim), "loads up to 60 kg");
  EXPECT_EQ(say_loads(*load_aim("pull_up_behind_neck")), "body weight or less");
  EXPECT_EQ(say_loads(*load_aim("squat_parallel")), "any load");
}

TEST(WordingOfJudgements, ASetThatMeetsItsAim) {
  const auto judged =
      judge_set(deep(), set_of({rep(10, 30), rep(12, 30), rep(11, 30), rep(1, 30)}));
  EXPECT_EQ(say_judgement(judged),
            "Met: 3 of 4 reps asked for; 3 of 4 inside, 1 too close to call.");
  EXPECT_EQ(say_reservation(judged), "");
  EXPECT_EQ(say_measure(judged.measures[0], 0.75),
            "thigh depth, left, at least 0.0°: 3 of 4 inside, 1 too close to call; 3 asked for: "
            "met.");
  EXPECT_EQ(say_measure(judged.measures[1], 0.75),
            "thigh depth, right, at least 0.0°: not judged, needs a strap on right_thigh.");
  EXPECT_EQ(rep_cell(judged.measures[0].reps[3]), "too close");
}

TEST(WordingOfJudgements, ASetThatDoesNotSaysWhatMattersMostAndWhy) {
  const auto judged = judge_set(deep(), set_of({rep(-8, 30), rep(-6, 60), rep(10, 30)}));
  EXPECT_EQ(say_judgement(judged), "Not met: 3 of 3 reps asked for; 1 of 3 inside, 2 outside.");
  ASSERT_EQ(judged.matters_most.size(), 2U);
  EXPECT_EQ(say_what_matters(judged.measures[judged.matters_most[0]]),
            "trunk lean: asked for is 10.0° to 45.0°; 1 of 3 reps over it, the "
            "furthest by 15.0°. Upright.");
  EXPECT_EQ(say_what_matters(judged.measures[judged.matters_most[1]]),
            "thigh depth, left: asked for is at least 0.0°; 2 of 3 reps under it, the furthest by "
            "8.0°. Depth is the point.");
  EXPECT_EQ(rep_cell(judged.measures[0].reps[0]), "8.0° under");
  EXPECT_EQ(rep_cell(judged.measures[2].reps[1]), "15.0° over");
}

TEST(WordingOfJudgements, WhatKeepsAnAimFromJudging) {
  EXPECT_EQ(say_judgement(judge_set(deep(), set_of({rep(10, 30)}, 80.0))),
            "This aim does not hold at 80 kg: it is for loads up to 60 kg. Nothing is judged.");
  auto other = set_of({rep(10, 30)});
  other.movement = "lunge";
  EXPECT_EQ(say_judgement(judge_set(deep(), other)),
            "This aim is for the movement squat: nothing is judged.");
  EXPECT_EQ(say_judgement(judge_set(deep(), set_of({}))), "Not judged: there is no full rep.");
  const auto unlogged = judge_set(deep(), set_of({rep(10, 30)}, {}));
  EXPECT_EQ(say_reservation(unlogged),
            "The load was not logged; the aim is for loads up to 60 kg.");
  EXPECT_EQ(say_measure(unlogged.measures[2], 0.75),
            "trunk lean: not judged, its band depends on the load, and the load was "
            "not logged.");
}

TEST(WordingOfJudgements, AnotherVariationIsSaid) {
  Aim aim = deep();
  aim.variation = "heels raised";
  auto set = set_of({rep(10, 30)});
  EXPECT_EQ(say_reservation(judge_set(aim, set)),
            "The aim is for the variation 'heels raised'; the set was logged without one.");
  set.variation = "narrow";
  EXPECT_THAT(say_reservation(judge_set(aim, set)), HasSubstr("was logged as 'narrow'."));
}

Caution caution(CautionKind kind, const std::string& measure, dsp::Unit unit, double from,
                double to) {
  Caution made;
  made.kind = kind;
  made.measure = measure;
  made.unit = unit;
  made.from = from;
  made.to = to;
  made.from_kg = 20.0;
  made.to_kg = 60.0;
  made.sets = 6;
  made.accustomed = OutsideAccustomed{true, true, 40.0, {}};
  return made;
}

TEST(WordingOfJudgements, CautionsSayWhatWasSeenAndNothingJudgesTheClient) {
  const auto say = [](CautionKind kind, const std::string& measure, dsp::Unit unit, double from,
                      double to) {
    return say_caution(caution(kind, measure, unit, from, to), "4");
  };
  const auto one = dsp::Unit::one;
  const std::string pain = say(CautionKind::pain_above_limit, "", one, 0, 3);
  EXPECT_THAT(pain, HasSubstr("Pain 3/10 was logged, and any pain stops the set"));
  EXPECT_THAT(pain, HasSubstr("licensed professional"));
  EXPECT_THAT(say(CautionKind::pain_above_limit, "", one, 2, 3),
              HasSubstr("agreed is to stop above 2"));
  EXPECT_EQ(say(CautionKind::load_above_agreed, "", one, 60, 62.5),
            "The load was 62.5 kg; the greatest agreed for this movement is 60 kg.");
  EXPECT_EQ(say(CautionKind::range_beyond_agreed, "knee_flexion_left", dsp::Unit::radian,
                90 * kDegree, 101 * kDegree),
            "Knee flexion, left reached 101.0° in rep 4; the limit agreed is 90.0°.");
  EXPECT_THAT(say(CautionKind::new_load_at_new_range, "", one, 0, 0),
              HasSubstr("accustomed at this range is 40 kg"));
  EXPECT_THAT(say(CautionKind::knee_line_with_fatigue, "knee_line_distance_left", dsp::Unit::metre,
                  0.01, 0.03),
              HasSubstr("went inwards over the reps, from 1.0 cm to 3.0 cm"));
  EXPECT_THAT(say(CautionKind::knee_line_with_load, "knee_line_distance_left", dsp::Unit::metre,
                  0.01, 0.03),
              HasSubstr("1.0 cm at 20 kg, 3.0 cm at 60 kg, over 6 sets"));
  EXPECT_THAT(say(CautionKind::sudden_loss_of_range, "range", dsp::Unit::radian, 1.6, 1.2),
              HasSubstr("from 91.7° in the reps before to 68.8° in rep 4"));
  EXPECT_THAT(
      say_caution(caution(CautionKind::sudden_loss_of_range, "range", dsp::Unit::radian, 1.6, 0.5),
                  "part"),
      HasSubstr("in a part rep"));
}

}  // namespace
}  // namespace strapline::coaching
