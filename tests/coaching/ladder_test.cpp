#include "strapline/coaching/ladder.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/movement.hpp"

namespace strapline::coaching {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

const std::string kTwoSteps = R"(name = "carry"
title = "Carry"
purpose = "To carry."
[[steps]]
name = "light"
title = "Light"
movement = "squat"
aim = "squat_parallel"
brings = "start"
reps = 6
loads = { at_most_kg = 0 }
[steps.exit]
why = "It is done."
source = "common practice"
[[steps]]
name = "heavy"
title = "Heavy"
movement = "squat"
aim = "squat_parallel"
brings = "load"
loads = { at_least_kg = 1 }
[steps.entry]
range = 80
why = "Range first."
source = "common practice"
[steps.exit]
sessions = 3
extra_reps = 1
reserve = 2
range_loss = 5
load_body_mass = 0.5
why = "Load is built up."
source = "ACSM 2009 position stand"
)";

std::string with(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(Ladder, IsReadWithItsConditionsInSi) {
  const auto ladder = parse_ladder(kTwoSteps, "carry.toml");
  ASSERT_TRUE(ladder) << ladder.error().line();
  ASSERT_EQ(ladder->steps.size(), 2U);
  EXPECT_EQ(ladder->steps[0].reps, 6);
  EXPECT_EQ(ladder->steps[1].reps, 8);  // the usual where none is given
  EXPECT_NEAR(*ladder->steps[1].entry->range, 80 * 3.14159265358979 / 180, 1e-9);
  EXPECT_NEAR(ladder->steps[1].exit.range_loss, 5 * 3.14159265358979 / 180, 1e-9);
  EXPECT_EQ(ladder->steps[1].exit.sessions, 3);
  EXPECT_EQ(*kilograms(*ladder->steps[1].exit.load, 80.0), 40.0);
  EXPECT_FALSE(kilograms(*ladder->steps[1].exit.load, std::nullopt));
}

struct Fault {
  const char* from;
  const char* to;
  const char* line;
};

TEST(Ladder, AFaultyFileGetsTheLineAndTheReason) {
  for (const Fault& fault : {
           Fault{"brings = \"load\"", "brings = \"start\"",
                 "carry.toml:20: the first step, and no other, brings \"start\""},
           Fault{"brings = \"load\"", "brings = \"luck\"", "carry.toml:20: 'brings' is \"luck\""},
           Fault{"name = \"heavy\"", "name = \"light\"",
                 "carry.toml:16: a second step is called 'light'"},
           Fault{"sessions = 3", "sessions = 0",
                 "carry.toml:27: 'sessions' is not a whole number from 1 to 6"},
           Fault{"range = 80", "depth = 80", "carry.toml:22: an entry condition without 'range'"},
           Fault{"load_body_mass = 0.5", "load_body_mass = -1", "carry.toml:31: 'load_body_mass'"},
           Fault{"at_least_kg = 1", "at_least = 1", "loads are given in kg or in body_mass"},
           Fault{"reps = 6", "reps = 6\ncolour = 3", "carry.toml:11: 'colour' is not known here"},
       }) {
    const auto ladder = parse_ladder(with(kTwoSteps, fault.from, fault.to), "carry.toml");
    ASSERT_FALSE(ladder) << fault.to;
    EXPECT_THAT(ladder.error().line(), HasSubstr(fault.line));
  }
}

TEST(Ladder, OneStepIsNone) {
  const std::string one = kTwoSteps.substr(0, kTwoSteps.rfind("[[steps]]"));
  const auto ladder = parse_ladder(one, "carry.toml");
  ASSERT_FALSE(ladder);
  EXPECT_THAT(ladder.error().line(), HasSubstr("two steps or more"));
}

TEST(Ladder, AnUnknownNameIsToldWhichThereAre) {
  const auto ladder = load_ladder("stairs");
  ASSERT_FALSE(ladder);
  EXPECT_THAT(ladder.error().line(), HasSubstr("pull_up, push_up, squat"));
}

TEST(Ladder, BuiltInOnesNameMovementsAndAimsThatExist) {
  EXPECT_EQ(built_in_ladders(), (std::vector<std::string>{"pull_up", "push_up", "squat"}));
  for (const std::string& name : built_in_ladders()) {
    const auto ladder = load_ladder(name);
    ASSERT_TRUE(ladder) << ladder.error().line();
    EXPECT_EQ(ladder->name, name);
    for (const LadderStep& step : ladder->steps) {
      EXPECT_THAT(built_in_movements(), Contains(step.movement)) << step.name;
      const auto aim = load_aim(step.aim);
      ASSERT_TRUE(aim) << aim.error().line();
      EXPECT_EQ(aim->movement, step.movement) << step.name;
    }
  }
}

TEST(Ladder, EveryBuiltInStepIsFoundAgainFromItsSets) {
  for (const std::string& name : built_in_ladders()) {
    const auto ladder = load_ladder(name);
    for (std::size_t i = 0; i < ladder->steps.size(); ++i) {
      const LadderStep& step = ladder->steps[i];
      const double kg = step.loads && step.loads->load.low ? 20.0 : 0.0;
      const SetKind kind{step.movement, step.variation, {kg, 80.0}};
      EXPECT_EQ(step_of(*ladder, kind), i) << name << " " << step.name;
    }
  }
}

TEST(Ladder, SetsAreToldApartByVariationAndLoad) {
  const auto ladder = load_ladder("squat");
  const auto name_of = [&](const std::string& variation, std::optional<double> kg) {
    const auto step = step_of(*ladder, {"squat", variation, {kg, {}}});
    return step ? ladder->steps[*step].name : std::string("none");
  };
  EXPECT_EQ(name_of("", 0.0), "parallel");
  EXPECT_EQ(name_of("", 40.0), "parallel_loaded");
  EXPECT_EQ(name_of("", std::nullopt), "none");  // a load that was not logged is not taken for none
  EXPECT_EQ(name_of("assisted", std::nullopt), "assisted");
  EXPECT_EQ(name_of("below parallel", 0.0), "below_parallel");
  EXPECT_EQ(name_of("held by a band", 0.0), "none");  // may be easier: counts for no step
  EXPECT_FALSE(step_of(*ladder, {"lunge", "", {0.0, {}}}));
}

}  // namespace
}  // namespace strapline::coaching
