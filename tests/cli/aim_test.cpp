#include <filesystem>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;

const char* const kOwn = R"(name = "mine"
title = "My squat"
movement = "squat"
purpose = "As agreed."
strictness = 0.8
[bands.thigh_depth]
at_least = -30
why = "Half range for now."
source = "common practice"
)";

class AimCommand : public CommandTest {
 protected:
  void set_up_medic() const {
    ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
    std::filesystem::create_directories(at("clients/medic/aims"));
    put("clients/medic/aims/mine.toml", kOwn);
  }
};

TEST_F(AimCommand, ListShowsBuiltInAndOwnOnesAndWhichAreActive) {
  set_up_medic();
  EXPECT_THAT(strapline({"aim", "list"}).out, HasSubstr("squat_parallel"));
  ASSERT_EQ(strapline({"aim", "use", "mine", "--client", "medic"}).status, kDone);
  const auto aims = strapline({"aim", "list", "--client", "medic", "--json"}).json()["aims"];
  EXPECT_EQ(aims[0]["name"], "mine");
  EXPECT_EQ(aims[0]["own"], true);
  EXPECT_EQ(aims[0]["active"], true);
  EXPECT_EQ(aims[1]["own"], false);
  EXPECT_EQ(aims[1]["active"], false);
  EXPECT_THAT(strapline({"aim", "list", "--client", "medic"}).out, HasSubstr("own, active"));
}

TEST_F(AimCommand, ShowSaysBandsReasonsAndSources) {
  const Outcome shown = strapline({"aim", "show", "squat_parallel"});
  for (const char* part : {"Squat to parallel (squat_parallel)", "80 % of the full reps inside",
                           "thigh depth: -5.0° to 10.0°", "at most 5.0 cm at 0 kg",
                           "The knee is a hinge", "(common practice)", "does not matter"}) {
    EXPECT_THAT(shown.out, HasSubstr(part));
  }
  const auto json = strapline({"aim", "show", "squat_parallel", "--json"}).json();
  EXPECT_EQ(json["bands"][0]["measure"], "thigh_depth");
  EXPECT_NEAR(json["bands"][0]["at"][0]["at_least"].get<double>(), -5.0, 1e-9);
  EXPECT_EQ(json["bands"][1]["at"][1]["kg"], 40.0);
}

TEST_F(AimCommand, ABuiltInFileCanBeCopiedChangedCheckedAndUsed) {
  const Outcome text = strapline({"aim", "show", "squat_parallel", "--toml"});
  put("copy.toml", text.out);
  const Outcome checked = strapline({"aim", "check", at("copy.toml")});
  EXPECT_EQ(checked.status, kDone) << checked.err;
  EXPECT_THAT(checked.out, HasSubstr(at("copy.toml") + ": sound"));
}

TEST_F(AimCommand, CheckNamesFileLineAndReason) {
  std::string text = kOwn;
  put("a.toml", text.replace(text.find("0.8"), 3, "8.0"));
  expect_refused(strapline({"aim", "check", at("a.toml")}), kFailed,
                 "strapline: " + at("a.toml") +
                     ":5: 'strictness' is the share of reps that must lie inside; give a number "
                     "above 0, up to 1");
  text = kOwn;
  put("b.toml", text.replace(text.find("thigh_depth"), 11, "elbow_flare"));
  expect_refused(strapline({"aim", "check", at("b.toml")}), kFailed,
                 "strapline: " + at("b.toml") +
                     ": the movement squat does not measure elbow_flare; take the band out, or use "
                     "another movement");
  text = kOwn;
  put("c.toml", text.replace(text.find("\"squat\""), 7, "\"hop\""));
  EXPECT_THAT(strapline({"aim", "check", at("c.toml")}).err,
              HasSubstr(at("c.toml") + ": no movement 'hop'"));
}

TEST_F(AimCommand, UseTakesWhatIsThereAndDropTakesItBack) {
  set_up_medic();
  EXPECT_EQ(strapline({"aim", "use", "mine", "--client", "medic"}).out,
            "medic: active aims: mine\n");
  EXPECT_EQ(strapline({"aim", "use", "push_up_close", "--client", "medic"}).out,
            "medic: active aims: mine, push_up_close\n");
  EXPECT_EQ(strapline({"aim", "use", "mine", "--client", "medic"}).out,
            "medic: active aims: mine, push_up_close\n");
  EXPECT_EQ(strapline({"aim", "use", "mine", "--client", "medic", "--drop"}).out,
            "medic: active aims: push_up_close\n");
  expect_refused(strapline({"aim", "use", "mine", "--client", "medic", "--drop"}), kFailed,
                 "strapline: mine: the aim is not active for medic; strapline client show lists "
                 "those that are");
  EXPECT_THAT(strapline({"aim", "use", "nothing", "--client", "medic"}).err,
              HasSubstr("no aim 'nothing'; use one of "));
  EXPECT_EQ(strapline({"aim", "use", "mine"}).status, kUsage);
  put("clients/medic/aims/yours.toml", kOwn);
  expect_refused(strapline({"aim", "use", "yours", "--client", "medic"}), kFailed,
                 "strapline: " + at("clients/medic/aims/yours.toml") +
                     ": the aim calls itself 'mine'; give the file and its 'name' the same name");
}

}  // namespace
}  // namespace strapline::cli::testing
