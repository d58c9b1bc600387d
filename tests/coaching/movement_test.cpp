#include "strapline/coaching/movement.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/measure_catalogue.hpp"

namespace strapline::coaching {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

const std::string kMinimal = R"(name = "step_up"
title = "Step-up"
range_angle = "knee_flexion"
first_phase = "lifting"
least_range_deg = 20
measures = ["range", "lifting_s"]
start_posture = "One foot on the box."
alignment = "Two slow knee bends."
cautions = ["Stop on pain."]
[placements]
required = ["thigh", "shank"]
optional = []
[wearing]
thigh = "Front."
)";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string failure_of(const std::string& toml) {
  const auto movement = parse_movement(toml, "step_up.toml");
  return movement ? "parsed" : movement.error().line();
}

TEST(Movement, SquatAndFreeAreBuiltIn) {
  EXPECT_THAT(built_in_movements(), Contains("squat"));
  EXPECT_THAT(built_in_movements(), Contains("free"));
}

TEST(Movement, EveryBuiltInIsSoundAndCarriesTheUsualCautions) {
  for (const std::string& name : built_in_movements()) {
    const auto movement = load_movement(name);
    ASSERT_TRUE(movement) << movement.error().line();
    EXPECT_EQ(movement->name, name);
    EXPECT_THAT(movement->cautions, Contains(HasSubstr("Stop on pain")));
    EXPECT_THAT(movement->cautions, Contains(HasSubstr("licensed professional")));
    EXPECT_THAT(movement->cautions, Contains(HasSubstr("Local rules")));
    for (const dsp::Segment segment : movement->required) {
      EXPECT_TRUE(movement->wearing.contains(segment)) << name;
    }
  }
}

TEST(Movement, SquatSpec) {
  const auto movement = load_movement("squat");
  ASSERT_TRUE(movement) << movement.error().line();
  const dsp::MovementSpec spec = to_spec(*movement);
  EXPECT_EQ(spec.name, "squat");
  EXPECT_EQ(spec.range_angle, dsp::RangeAngle::thigh_depth);
  EXPECT_EQ(spec.first_phase, dsp::FirstPhase::lowering);
  EXPECT_THAT(spec.required, ElementsAre(dsp::Segment::thigh));
  EXPECT_NEAR(spec.least_range, 15.0 * std::numbers::pi / 180.0, 1e-12);
  for (const char* name :
       {"thigh_depth", "knee_flexion", "knee_line_distance", "knee_line_angle", "knee_travel",
        "trunk_lean", "range", "lowering_s", "bottom_hold_s", "lifting_s", "top_hold_s"}) {
    EXPECT_THAT(spec.measures, Contains(name));
  }
}

TEST(Movement, FreeTakesAnyOneStrap) {
  const auto movement = load_movement("free");
  ASSERT_TRUE(movement) << movement.error().line();
  EXPECT_TRUE(to_spec(*movement).required.empty());
  EXPECT_EQ(to_spec(*movement).range_angle, dsp::RangeAngle::strongest_turn);
}

TEST(Movement, RangeAngleAndFirstPhaseOfEachKind) {
  using dsp::FirstPhase;
  using dsp::RangeAngle;
  const auto expect = [](const char* name, RangeAngle angle, FirstPhase first) {
    const auto movement = load_movement(name);
    ASSERT_TRUE(movement) << movement.error().line();
    EXPECT_EQ(movement->range_angle, angle) << name;
    EXPECT_EQ(movement->first_phase, first) << name;
  };
  expect("lunge", RangeAngle::working_thigh_depth, FirstPhase::lowering);
  expect("hip_hinge", RangeAngle::hip_flexion, FirstPhase::lowering);
  expect("bench_press", RangeAngle::elbow_flexion, FirstPhase::lowering);
  expect("overhead_press", RangeAngle::elbow_extension, FirstPhase::lifting);
  expect("pull_down", RangeAngle::elbow_flexion, FirstPhase::lifting);
}

TEST(Movement, VelocityIsOfTheFirstNamedPlacementAndMayBeLeftOut) {
  EXPECT_THAT(to_spec(*load_movement("squat")).velocity_of,
              ElementsAre(dsp::Segment::bar, dsp::Segment::pelvis, dsp::Segment::chest));
  EXPECT_THAT(parse_movement(kMinimal, "step_up.toml")->velocity_of, ::testing::IsEmpty());
  EXPECT_THAT(
      failure_of(replaced(kMinimal, "start_posture", "velocity_of = [\"tail\"]\nstart_posture")),
      HasSubstr("step_up.toml:7: 'tail' is no placement"));
}

TEST(Movement, TheTrunkAtTheStartMayBeLeftOut) {
  EXPECT_NEAR(to_spec(*load_movement("push_up")).start_trunk_turn, 0.5236, 1e-4);  // 30°
  EXPECT_EQ(to_spec(*load_movement("squat")).start_trunk_turn, 0.0);
  EXPECT_THAT(
      failure_of(replaced(kMinimal, "start_posture", "start_trunk_deg = 200\nstart_posture")),
      HasSubstr("step_up.toml:7: the trunk's turn must lie between 0 and 180 degrees"));
}

TEST(Movement, OwnFileIsAllThatANewMovementTakes) {
  const std::string path = ::testing::TempDir() + "/strapline_step_up.toml";
  std::ofstream(path) << kMinimal;
  const auto movement = load_movement(path);
  std::remove(path.c_str());
  ASSERT_TRUE(movement) << movement.error().line();
  EXPECT_EQ(movement->title, "Step-up");
  EXPECT_EQ(movement->first_phase, dsp::FirstPhase::lifting);
  EXPECT_EQ(movement->range_angle, dsp::RangeAngle::knee_flexion);
  EXPECT_EQ(movement->wearing.at(dsp::Segment::thigh), "Front.");
}

TEST(Movement, UnknownNameSaysWhichThereAre) {
  const auto movement = load_movement("squatt");
  ASSERT_FALSE(movement);
  EXPECT_EQ(
      movement.error().line(),
      "no movement 'squatt'; use one of bench_press, dip, free, front_squat, hip_hinge, lunge, "
      "overhead_press, pull_down, pull_up, push_up, row, split_squat, squat, step_down, or the "
      "path of a .toml file");
}

TEST(Movement, MissingFileAndFolderAreSaid) {
  EXPECT_EQ(load_movement("/nowhere/x.toml").error().line(),
            "/nowhere/x.toml: no such movement file; check the path");
}

TEST(Movement, FaultsNameFileLineAndReason) {
  EXPECT_THAT(failure_of(replaced(kMinimal, "\"lifting\"", "\"jumping\"")),
              HasSubstr("step_up.toml:4: 'jumping' is no phase; use lowering or lifting"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "20", "\"deep\"")),
              HasSubstr("step_up.toml:5: 'least_range_deg' is not a number"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "20", "-3")),
              HasSubstr("step_up.toml:5: the least range must lie between 0 and 180 degrees"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "20", "nan")), HasSubstr("step_up.toml:5: "));
  EXPECT_THAT(failure_of(replaced(kMinimal, "\"lifting_s\"", "\"lifts\"")),
              HasSubstr("step_up.toml:6: 'lifts' is no measure"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "\"lifting_s\"", "\"range\"")),
              HasSubstr("step_up.toml:6: 'range' is listed twice"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "\"lifting_s\"", "7")),
              HasSubstr("step_up.toml:6: 'measures' is not a list of texts"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "[\"Stop on pain.\"]", "[]")),
              HasSubstr("step_up.toml:9: no caution is listed"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "\"shank\"", "\"shin\"")),
              HasSubstr("step_up.toml:11: 'shin' is no placement; use upper_back, chest"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "optional = []", "optional = [\"thigh\"]")),
              HasSubstr("step_up.toml:12: 'thigh' is both required and optional"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "thigh = \"Front.\"", "tail = \"Front.\"")),
              HasSubstr("step_up.toml:14: 'tail' is no placement"));
}

TEST(Movement, MissingAndUnknownKeysAreSaid) {
  EXPECT_THAT(failure_of(replaced(kMinimal, "title = \"Step-up\"\n", "")),
              HasSubstr("'title' is missing; add it as a text"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "optional = []\n", "")),
              HasSubstr("step_up.toml:10: 'optional' is missing in [placements]"));
  EXPECT_THAT(failure_of(replaced(kMinimal, "alignment", "title2 = \"x\"\nalignment")),
              HasSubstr("step_up.toml:8: 'title2' is not known here"));
  EXPECT_THAT(failure_of(""), HasSubstr("step_up.toml:1: 'name' is missing"));
}

TEST(Movement, BrokenTomlNamesItsLine) {
  EXPECT_THAT(failure_of("name = \"x\"\ntitle = \"y\n"), HasSubstr("step_up.toml:2: "));
  EXPECT_THAT(failure_of("name = \"x\"\nname = \"y\"\n"), HasSubstr("step_up.toml:2: "));
}

TEST(Movement, AFileCutBeforeItsLastTableGivesAFailureAndNeverHalfAMovement) {
  const std::size_t last_table_is_there =
      kMinimal.find("[wearing]") + std::string("[wearing]").size();
  for (std::size_t length = 0; length < last_table_is_there; ++length) {
    const auto movement = parse_movement(kMinimal.substr(0, length), "step_up.toml");
    ASSERT_FALSE(movement) << length;
    EXPECT_THAT(movement.error().where, HasSubstr("step_up.toml:"));
  }
}

}  // namespace
}  // namespace strapline::coaching
