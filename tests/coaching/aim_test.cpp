#include "strapline/coaching/aim.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/movement.hpp"

namespace strapline::coaching {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

const std::string kDeep = R"(name = "deep"
title = "Deep squat"
movement = "squat"
variation = "heels raised"
purpose = "Depth."
strictness = 0.75
[load]
at_most_kg = 60
[bands.thigh_depth]
at_least = 0
why = "Depth is the point."
source = "common practice"
[bands.knee_line_distance]
with_load = [ { kg = 20, at_most = 5 }, { kg = 60, at_most = 3 } ]
why = "Closer with load."
source = "common practice"
)";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string failure_of(const std::string& toml) {
  const auto aim = parse_aim(toml, "deep.toml");
  return aim ? "parsed" : aim.error().line();
}

Aim deep() { return *parse_aim(kDeep, "deep.toml"); }

TEST(Aim, ReadsEverythingInSi) {
  const auto aim = parse_aim(kDeep, "deep.toml");
  ASSERT_TRUE(aim) << aim.error().line();
  EXPECT_EQ(aim->name, "deep");
  EXPECT_EQ(aim->title, "Deep squat");
  EXPECT_EQ(aim->movement, "squat");
  EXPECT_EQ(aim->variation, "heels raised");
  EXPECT_EQ(aim->purpose, "Depth.");
  EXPECT_EQ(aim->strictness, 0.75);
  ASSERT_TRUE(aim->holds_for);
  EXPECT_EQ(aim->holds_for->scale, LoadScale::kg);
  EXPECT_EQ(aim->holds_for->load.high, 60.0);
  EXPECT_FALSE(aim->holds_for->load.low);
  ASSERT_EQ(aim->bands.size(), 2U);
  EXPECT_EQ(aim->bands[0].measure, "thigh_depth");  // in the order shown
  EXPECT_EQ(aim->bands[0].at.front().edges.low, 0.0);
  EXPECT_FALSE(aim->bands[0].depends_on_load());
  EXPECT_EQ(aim->bands[1].unit, dsp::Unit::metre);
  EXPECT_NEAR(*aim->bands[1].at[1].edges.high, 0.03, 1e-12);
  EXPECT_EQ(aim->bands[1].why, "Closer with load.");
  EXPECT_EQ(aim->bands[1].source, "common practice");
}

TEST(Aim, EdgesFollowTheLoadLinearlyAndStayBeyondTheTable) {
  const AimBand knee = deep().bands[1];
  const auto high = [&](double kg) { return *edges_at(knee, {kg, {}})->high; };
  EXPECT_NEAR(high(0), 0.05, 1e-12);
  EXPECT_NEAR(high(20), 0.05, 1e-12);
  EXPECT_NEAR(high(30), 0.045, 1e-12);
  EXPECT_NEAR(high(60), 0.03, 1e-12);
  EXPECT_NEAR(high(200), 0.03, 1e-12);
  EXPECT_FALSE(edges_at(knee, {30.0, {}})->low);
  EXPECT_EQ(edges_at(knee, {}).error(), Unknown::load);
  EXPECT_TRUE(edges_at(deep().bands[0], {}));  // the same whatever the load
}

TEST(Aim, LoadsRelativeToBodyMassNeedBoth) {
  const auto aim = parse_aim(
      replaced(replaced(kDeep, "kg = 20", "body_mass = 0.5"), "kg = 60, at", "body_mass = 1, at"),
      "deep.toml");
  ASSERT_TRUE(aim) << aim.error().line();
  const AimBand& knee = aim->bands[1];
  EXPECT_NEAR(*edges_at(knee, {60.0, 80.0})->high, 0.04, 1e-12);
  EXPECT_EQ(edges_at(knee, {60.0, {}}).error(), Unknown::body_mass);
  EXPECT_EQ(edges_at(knee, {{}, 80.0}).error(), Unknown::load);
}

TEST(Aim, ABandConcernsItsOwnStatisticOnEverySideUnlessItNamesOne) {
  AimBand band;
  band.measure = "knee_line_distance";
  EXPECT_TRUE(concerns(band, "knee_line_distance_left"));
  EXPECT_TRUE(concerns(band, "knee_line_distance_right"));
  EXPECT_FALSE(concerns(band, "knee_line_distance_at_turn_left"));
  EXPECT_FALSE(concerns(band, "knee_line_angle_left"));
  band.measure = "knee_line_distance_at_turn_left";
  EXPECT_TRUE(concerns(band, "knee_line_distance_at_turn_left"));
  EXPECT_FALSE(concerns(band, "knee_line_distance_at_turn_right"));
}

TEST(Aim, FaultsNameFileLineAndReason) {
  EXPECT_THAT(failure_of(replaced(kDeep, "0.75", "1.5")),
              HasSubstr("deep.toml:6: 'strictness' is the share of reps that must lie inside"));
  EXPECT_THAT(failure_of(replaced(kDeep, "0.75", "0")), HasSubstr("deep.toml:6: "));
  EXPECT_THAT(failure_of(replaced(kDeep, "at_most_kg = 60", "")),
              HasSubstr("deep.toml:7: loads are given in kg or in body_mass"));
  EXPECT_THAT(failure_of(replaced(kDeep, "at_most_kg = 60", "at_most_kg = -5")),
              HasSubstr("deep.toml:8: the loads leave nothing between them"));
  EXPECT_THAT(
      failure_of(replaced(kDeep, "at_most_kg = 60", "at_most_kg = 60\nat_least_body_mass = 1")),
      HasSubstr("loads are given in kg or in body_mass"));
  EXPECT_THAT(failure_of(replaced(kDeep, "[bands.thigh_depth]", "[bands.depth]")),
              HasSubstr("deep.toml:9: 'depth' is no measure"));
  EXPECT_THAT(failure_of(replaced(kDeep, "at_least = 0", "")),
              HasSubstr("deep.toml:9: neither 'at_least' nor 'at_most' is given"));
  EXPECT_THAT(failure_of(replaced(kDeep, "at_least = 0", "at_least = nan")),
              HasSubstr("deep.toml:10: 'at_least' is not a finite number"));
  EXPECT_THAT(failure_of(replaced(kDeep, "why = \"Depth is the point.\"\n", "")),
              HasSubstr("deep.toml:9: 'why' is missing in [bands.thigh_depth]"));
  EXPECT_THAT(failure_of(replaced(kDeep, "source = \"common practice\"\n", "")),
              HasSubstr("'source' is missing in [bands.thigh_depth]"));
  EXPECT_THAT(failure_of(replaced(kDeep, "kg = 60, at", "kg = 10, at")),
              HasSubstr("deep.toml:14: the loads of 'with_load' do not rise"));
  EXPECT_THAT(failure_of(replaced(kDeep, "kg = 60, at", "body_mass = 1, at")),
              HasSubstr("deep.toml:14: the rows of 'with_load' mix kg and body_mass"));
  EXPECT_THAT(failure_of(replaced(kDeep, "kg = 60, at_most", "kg = 60, at_least")),
              HasSubstr("deep.toml:14: the rows of 'with_load' do not have the same edges"));
  EXPECT_THAT(failure_of(replaced(kDeep, ", { kg = 60, at_most = 3 }", "")),
              HasSubstr("deep.toml:14: 'with_load' needs two rows or more"));
  EXPECT_THAT(failure_of(replaced(kDeep, "with_load", "at_least = 0\nwith_load")),
              HasSubstr("deep.toml:15: edges stand both beside 'with_load' and in it"));
  EXPECT_THAT(failure_of(replaced(kDeep, "kg = 20, ", "")),
              HasSubstr("deep.toml:14: a row of 'with_load' needs 'kg' or 'body_mass'"));
  EXPECT_THAT(failure_of(replaced(kDeep, "purpose", "goal")), HasSubstr("'purpose' is missing"));
  EXPECT_THAT(failure_of(kDeep.substr(0, kDeep.find("[bands")) + "[bands]\n"),
              HasSubstr("deep.toml:9: no band is given"));
  EXPECT_THAT(failure_of("name = \"x\"\ntitle = \"y\n"), HasSubstr("deep.toml:2: "));
}

TEST(Aim, AFileCutBeforeItsFirstBandIsWholeIsNeverHalfAnAim) {
  const std::size_t first_band = kDeep.find("[bands.knee");
  for (std::size_t length = 0; length + 2 < first_band; ++length) {
    const auto aim = parse_aim(kDeep.substr(0, length), "deep.toml");
    ASSERT_FALSE(aim) << length;
    EXPECT_THAT(aim.error().where, HasSubstr("deep.toml:"));
  }
}

TEST(Aim, OwnFileGoesByItsPath) {
  const std::string path = ::testing::TempDir() + "/strapline_deep.toml";
  std::ofstream(path) << kDeep;
  const auto aim = load_aim(path);
  std::remove(path.c_str());
  ASSERT_TRUE(aim) << aim.error().line();
  EXPECT_EQ(aim->name, "deep");
  EXPECT_EQ(load_aim("/nowhere/x.toml").error().line(),
            "/nowhere/x.toml: no such aim file; check the path");
  EXPECT_THAT(load_aim("deep").error().line(), HasSubstr("no aim 'deep'; use one of "));
}

TEST(Aim, EveryBuiltInIsSoundAndItsMovementMeasuresItsBands) {
  const auto movements = built_in_movements();
  for (const std::string& name : built_in_aims()) {
    const auto aim = load_aim(name);
    ASSERT_TRUE(aim) << aim.error().line();
    EXPECT_EQ(aim->name, name);
    for (const AimBand& band : aim->bands) EXPECT_FALSE(band.source.empty()) << name;
    EXPECT_THAT(movements, Contains(aim->movement)) << name;
    const auto movement = load_movement(aim->movement);
    ASSERT_TRUE(movement);
    for (const AimBand& band : aim->bands) {
      EXPECT_THAT(movement->measures, Contains(parse_measure_name(band.measure)->base)) << name;
    }
  }
}

TEST(Aim, TheUsualStartingPointsAreBuiltIn) {
  for (const char* name :
       {"squat_parallel", "squat_below_parallel", "squat_heels_raised", "squat_slow_lowering",
        "hip_hinge_neutral_back", "push_up_close", "push_up_half_flared", "push_up_wide_elbows",
        "push_up_forearms_vertical", "push_up_slow_lowering", "pull_up_straight_body",
        "pull_up_arched_body", "pull_up_behind_neck", "pull_up_slow_lowering", "overhead_press"}) {
    EXPECT_THAT(built_in_aims(), Contains(name));
    EXPECT_THAT(built_in_aim_text(name), HasSubstr("[bands."));
  }
  EXPECT_EQ(built_in_aim_text("none"), "");
}

TEST(Aim, TheKneeLineOfTheBuiltInSquatsNarrowsWithLoad) {
  for (const char* name : {"squat_parallel", "squat_below_parallel", "squat_heels_raised"}) {
    const auto aim = load_aim(name);
    ASSERT_TRUE(aim);
    const auto knee = std::find_if(aim->bands.begin(), aim->bands.end(), [](const AimBand& band) {
      return band.measure == "knee_line_distance";
    });
    ASSERT_NE(knee, aim->bands.end()) << name;
    double last = 1.0;
    for (const double kg : {0.0, 40.0, 80.0}) {
      const double high = *edges_at(*knee, {kg, {}})->high;
      EXPECT_LT(high, last) << name << " at " << kg;
      last = high;
    }
  }
}

}  // namespace
}  // namespace strapline::coaching
