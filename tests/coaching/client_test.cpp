#include "strapline/coaching/client.hpp"

#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace strapline::coaching {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Pair;

constexpr double kDegree = std::numbers::pi / 180.0;

const std::string kMedic = R"(name = "medic"
kit = "thighs and shanks"
notes = "climbs on Sundays"
aims = ["squat_parallel", "push_up_close"]
[body]
height = 1.78
shank = 0.43
mass_kg = 71.5
[limits]
pain = 2
[limits.load_kg]
squat = 80
[limits.range]
knee_flexion = { at_most = 100 }
knee_line_distance_left = { at_least = -2, at_most = 3.5 }
[matters]
knee_flexion = 5
lowering_s = 0.5
[ladder]
squat = "full-squat"
)";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string failure_of(const std::string& toml) {
  const auto client = parse_client(toml, "client.toml");
  return client ? "parsed" : client.error().line();
}

TEST(Client, ReadsEverythingInSi) {
  const auto client = parse_client(kMedic, "client.toml");
  ASSERT_TRUE(client) << client.error().line();
  EXPECT_EQ(client->name, "medic");
  EXPECT_EQ(client->kit, "thighs and shanks");
  EXPECT_EQ(client->notes, "climbs on Sundays");
  EXPECT_THAT(client->aims, ElementsAre("squat_parallel", "push_up_close"));
  EXPECT_EQ(client->body.height, 1.78);
  EXPECT_EQ(client->body.shank, 0.43);
  EXPECT_FALSE(client->body.thigh);
  EXPECT_EQ(client->body_mass_kg, 71.5);
  EXPECT_EQ(client->limits.pain, 2.0);
  EXPECT_THAT(client->limits.load_kg, ElementsAre(Pair("squat", 80.0)));
  EXPECT_NEAR(*client->limits.range.at("knee_flexion").high, 100.0 * kDegree, 1e-12);
  EXPECT_FALSE(client->limits.range.at("knee_flexion").low);
  EXPECT_NEAR(*client->limits.range.at("knee_line_distance_left").low, -0.02, 1e-12);
  EXPECT_NEAR(client->smallest_that_matters.at("knee_flexion"), 5.0 * kDegree, 1e-12);
  EXPECT_NEAR(client->smallest_that_matters.at("lowering_s"), 0.5, 1e-12);
  EXPECT_THAT(client->ladder_steps, ElementsAre(Pair("squat", "full-squat")));
}

TEST(Client, ANameIsEnoughAndThePainLimitIsThenTheStrictOne) {
  const auto client = parse_client("name = \"medic\"\n", "client.toml");
  ASSERT_TRUE(client) << client.error().line();
  EXPECT_EQ(client->limits.pain, kStrictPainLimit);
  EXPECT_FALSE(client->body.height);
  EXPECT_TRUE(client->aims.empty());
}

TEST(Client, TextAndClientGoBackAndForth) {
  const auto first = parse_client(kMedic, "client.toml");
  ASSERT_TRUE(first);
  const std::string text = client_text(*first);
  for (const char* line :
       {"knee_flexion = { at_most = 100 }", "knee_flexion = 5\n", "shank = 0.43\n",
        "knee_line_distance_left = { at_least = -2, at_most = 3.5 }", "squat = 80\n"}) {
    EXPECT_THAT(text, HasSubstr(line));
  }
  const auto second = parse_client(text, "client.toml");
  ASSERT_TRUE(second) << second.error().line();
  EXPECT_EQ(client_text(*second), text);
  EXPECT_EQ(second->limits.load_kg, first->limits.load_kg);
  EXPECT_NEAR(*second->limits.range.at("knee_flexion").high, 100.0 * kDegree, 1e-12);
}

TEST(Client, AnyTextSurvives) {
  Client client;
  client.name = "stretcher \"lead\" \\ # [x]";
  client.notes = "two\nlines, 'quotes', ümläut\ttab";
  client.ladder_steps["push up"] = "on the knees";
  client.limits.load_kg["my.own movement"] = 12.5;
  const auto back = parse_client(client_text(client), "client.toml");
  ASSERT_TRUE(back) << back.error().line() << client_text(client);
  EXPECT_EQ(back->name, client.name);
  EXPECT_EQ(back->notes, client.notes);
  EXPECT_EQ(back->ladder_steps, client.ladder_steps);
  EXPECT_EQ(back->limits.load_kg, client.limits.load_kg);
}

TEST(Client, FaultsNameFileLineAndReason) {
  EXPECT_THAT(failure_of(replaced(kMedic, "1.78", "178")),
              HasSubstr("client.toml:6: 'height' must lie between 0 and 3 m; give it in metres"));
  EXPECT_THAT(failure_of(replaced(kMedic, "1.78", "\"tall\"")),
              HasSubstr("client.toml:6: 'height' is not a number"));
  EXPECT_THAT(failure_of(replaced(kMedic, "pain = 2", "pain = 11")),
              HasSubstr("client.toml:10: the pain limit must lie between 0 and 10"));
  EXPECT_THAT(failure_of(replaced(kMedic, "squat = 80", "squat = -1")),
              HasSubstr("client.toml:12: the greatest load must not be below 0"));
  EXPECT_THAT(failure_of(replaced(kMedic, "knee_flexion = {", "knee_bend = {")),
              HasSubstr("client.toml:14: 'knee_bend' is no measure; use a name"));
  EXPECT_THAT(failure_of(replaced(kMedic, "{ at_most = 100 }", "{ at_most = 100, about = 3 }")),
              HasSubstr("client.toml:14: 'about' is not known here"));
  EXPECT_THAT(failure_of(replaced(kMedic, "{ at_most = 100 }", "{}")),
              HasSubstr("client.toml:14: neither 'at_least' nor 'at_most' is given"));
  EXPECT_THAT(failure_of(replaced(kMedic, "at_least = -2", "at_least = 4")),
              HasSubstr("client.toml:15: 'at_most' is not above 'at_least'"));
  EXPECT_THAT(failure_of(replaced(kMedic, "knee_flexion = 5", "knee_flexion = 0")),
              HasSubstr("client.toml:17: the smallest difference that matters must be above 0"));
  EXPECT_THAT(failure_of(replaced(kMedic, "\"full-squat\"", "3")),
              HasSubstr("client.toml:20: 'squat' is not a text"));
  EXPECT_THAT(failure_of(replaced(kMedic, "kit =", "kitt =")),
              HasSubstr("client.toml:2: 'kitt' is not known here"));
  EXPECT_THAT(failure_of(replaced(kMedic, "aims = [", "aims = [1, ")),
              HasSubstr("client.toml:4: 'aims' is not a list of texts"));
  EXPECT_THAT(failure_of(""), HasSubstr("client.toml:1: 'name' is missing"));
  EXPECT_THAT(failure_of("name = \"x\nkit = \"\"\n"), HasSubstr("client.toml:1: "));
}

TEST(Client, AFileCutAnywhereIsRefusedWithItsPlaceOrIsWhole) {
  int refused = 0;
  for (std::size_t length = 0; length < kMedic.size(); ++length) {
    const auto client = parse_client(kMedic.substr(0, length), "client.toml");
    if (client) {
      EXPECT_EQ(client->name, "medic") << length;
    } else {
      EXPECT_THAT(client.error().where, HasSubstr("client.toml:")) << length;
      ++refused;
    }
  }
  EXPECT_GT(refused, 100);
}

TEST(Client, ARangeLimitOfASideGoesBeforeThatOfTheMeasure) {
  AgreedLimits limits;
  limits.range["knee_flexion"] = {std::nullopt, 1.5};
  limits.range["knee_flexion_left"] = {std::nullopt, 1.2};
  EXPECT_EQ(range_limit(limits, "knee_flexion_left")->high, 1.2);
  EXPECT_EQ(range_limit(limits, "knee_flexion_right")->high, 1.5);
  EXPECT_FALSE(range_limit(limits, "hip_flexion"));
  EXPECT_FALSE(range_limit(limits, "no_such_measure"));
}

}  // namespace
}  // namespace strapline::coaching
