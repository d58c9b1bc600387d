#include <filesystem>

#include <gmock/gmock.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/dsp/measure.hpp"

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

class ReviewAgainstAnAim : public CommandTest {
 protected:
  /// An aim for squats with one band for the thigh's depth, in a file of its own.
  [[nodiscard]] std::string depth_aim(const std::string& edges,
                                      const std::string& more = "") const {
    put("depth.toml",
        "name = \"depth\"\ntitle = \"Depth\"\nmovement = \"squat\"\npurpose = \"x\"\n"
        "strictness = 0.8\n" +
            more + "[bands.thigh_depth]\n" + edges +
            "\nwhy = \"Depth is the point.\"\nsource = \"common practice\"\n");
    return at("depth.toml");
  }
  [[nodiscard]] nlohmann::json aim_of(const std::string& file, const std::string& aim) const {
    const Outcome outcome = strapline({"review", file, "--json", "--aim", aim});
    EXPECT_EQ(outcome.status, kDone) << outcome.err;
    return outcome.json()["aim"];
  }
};

// The verdicts follow from the values and their uncertainties that the same review gives.
TEST_F(ReviewAgainstAnAim, VerdictsFollowFromValuesAndUncertainties) {
  const std::string file = synth("a.h5", {"--random", "--seed", "7"});
  int verdicts = 0;
  for (const double edge : {-60.0, -10.0, -3.0, 0.0, 3.0, 10.0, 60.0}) {
    const Outcome outcome = strapline(
        {"review", file, "--json", "--aim", depth_aim("at_least = " + std::to_string(edge))});
    ASSERT_EQ(outcome.status, kDone) << outcome.err;
    const auto json = outcome.json();
    for (const auto& judged : json["aim"]["measures"]) {
      for (const auto& one : judged["reps"]) {
        const auto& value = json["reps"][one["rep"].get<std::size_t>()]["measures"]
                                [judged["measure"].get<std::string>()];
        const double below = edge - value["value"].get<double>();
        const double half = 1.959964 * value["u"].get<double>();
        const std::string wanted = std::abs(below) < half ? "too_close"
                                   : below > 0.0          ? "outside"
                                                          : "inside";
        EXPECT_EQ(one["verdict"], wanted) << edge;
        ++verdicts;
      }
    }
  }
  EXPECT_GE(verdicts, 7 * 2 * 3);
}

// A description beside the judgement: the nearest of the known aims, with how sure.
TEST_F(ReviewAgainstAnAim, SaysWhichVariationItWasNearestTo) {
  const auto variation = [&](const std::string& name, const std::string& depth) {
    const std::string file = synth(name, {"--depth", depth, "--tempo", "2/0.3/1.2/1"});
    return strapline({"review", file, "--json"}).json()["variation"];
  };
  const auto half = variation("half.h5", "-27");
  EXPECT_EQ(half["fits"][0]["aim"], "squat_half");
  EXPECT_TRUE(half["told"]);
  double sum = 0.0;
  for (const auto& fit : half["fits"]) sum += fit["probability"].get<double>();
  EXPECT_NEAR(sum, 1.0, 1e-9);
  const auto parallel = variation("parallel.h5", "2");
  EXPECT_NE(parallel["fits"][0]["aim"], "squat_half");
  const Outcome table = strapline({"review", at("half.h5"), "--no-page"});
  EXPECT_THAT(table.out, HasSubstr("Nearest of the aims: Squat to half range"));
}

TEST_F(ReviewAgainstAnAim, MetNotMetAndWhatMattersMost) {
  const std::string file = synth("a.h5");
  const auto met = aim_of(file, depth_aim("at_least = -60"));
  EXPECT_EQ(met["verdict"], "met");
  EXPECT_EQ(met["holding"], "holds");
  EXPECT_TRUE(met["matters_most"].empty());
  EXPECT_EQ(met["tally"]["inside"], 5);
  const auto missed = aim_of(file, depth_aim("at_least = 40"));
  EXPECT_EQ(missed["verdict"], "not_met");
  ASSERT_EQ(missed["matters_most"].size(), 1U);  // two sides are one thing
  EXPECT_THAT(missed["matters_most"][0]["in_words"].get<std::string>(),
              HasSubstr("5 of 5 reps under it"));
  EXPECT_EQ(missed["measures"][0]["reps"][0]["edge"], "at_least");
  EXPECT_GT(missed["measures"][0]["reps"][0]["beyond"].get<double>(), 30.0);
}

TEST_F(ReviewAgainstAnAim, WithoutAClientOrAnAimNothingIsJudgedAndItSaysSo) {
  const std::string file = synth("a.h5", {"--client", "medic"});
  auto json = strapline({"review", file, "--json"}).json();
  EXPECT_TRUE(json["aim"].is_null());
  EXPECT_THAT(json["no_aim"].get<std::string>(), HasSubstr("No client 'medic' is set up"));
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  json = strapline({"review", file, "--json"}).json();
  EXPECT_TRUE(json["aim"].is_null());
  EXPECT_EQ(json["no_aim"],
            "medic has no active aim for squat; strapline aim use sets one, --aim names one.");
  EXPECT_THAT(strapline({"review", file, "--no-page"}).out, HasSubstr("Aim: none. medic has no"));
}

TEST_F(ReviewAgainstAnAim, TheActiveAimOfTheMovementAndVariationIsTaken) {
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  for (const char* aim : {"push_up_close", "squat_parallel"}) {
    ASSERT_EQ(strapline({"aim", "use", aim, "--client", "medic"}).status, kDone);
  }
  const std::string plain = synth("a.h5", {"--client", "medic"});
  const std::string raised = synth("b.h5", {"--client", "medic", "--variation", "heels raised"});
  const auto name = [&](const std::string& file) {
    return strapline({"review", file, "--json"}).json()["aim"]["name"];
  };
  EXPECT_EQ(name(plain), "squat_parallel");
  ASSERT_EQ(strapline({"aim", "use", "squat_heels_raised", "--client", "medic"}).status, kDone);
  EXPECT_EQ(name(plain), "squat_parallel");
  EXPECT_EQ(name(raised), "squat_heels_raised");
  ASSERT_EQ(strapline({"aim", "use", "squat_below_parallel", "--client", "medic"}).status, kDone);
  EXPECT_THAT(strapline({"review", plain, "--json"}).json()["no_aim"].get<std::string>(),
              HasSubstr("several active aims for squat (squat_parallel, squat_heels_raised, "
                        "squat_below_parallel); name one with --aim"));
  EXPECT_EQ(
      strapline({"review", plain, "--json", "--aim", "squat_below_parallel"}).json()["aim"]["name"],
      "squat_below_parallel");
}

TEST_F(ReviewAgainstAnAim, OutsideItsLoadsTheAimDoesNotHold) {
  const std::string aim = depth_aim("at_least = -60", "[load]\nat_most_kg = 60\n");
  const std::string heavy = synth("a.h5", {"--load", "80"});
  const auto json = aim_of(heavy, aim);
  EXPECT_EQ(json["holding"], "load_too_high");
  EXPECT_EQ(json["verdict"], "not_judged");
  EXPECT_TRUE(json["measures"].empty());
  EXPECT_THAT(strapline({"review", heavy, "--no-page", "--aim", aim}).out,
              HasSubstr("This aim does not hold at 80 kg: it is for loads up to 60 kg."));
  EXPECT_EQ(aim_of(synth("b.h5", {"--load", "60"}), aim)["holding"], "holds");
  EXPECT_EQ(aim_of(synth("c.h5"), aim)["holding"], "load_unknown");
}

TEST_F(ReviewAgainstAnAim, TheTableAndThePageSayTheSame) {
  const std::string file = synth("a.h5");
  const Outcome outcome = strapline({"review", file, "--aim", depth_aim("at_least = 40")});
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  for (const char* part :
       {"Aim: Depth", "Not met: 4 of 5 reps asked for", "all together", " under",
        "Matters most for this aim:", "close to call where the edge lies inside it"}) {
    EXPECT_THAT(outcome.out, HasSubstr(part));
  }
  const std::string page = bytes_of("a.html");
  EXPECT_THAT(page, HasSubstr("Not met: 4 of 5 reps asked for"));
  EXPECT_THAT(page, HasSubstr("Depth is the point."));
}

TEST_F(ReviewAgainstAnAim, CautionsOfAgreedLimitsAreShownApart) {
  ASSERT_EQ(strapline({"client", "add", "medic", "--pain-limit", "2", "--most-load", "squat=50",
                       "--range-limit", "knee_flexion=:60"})
                .status,
            kDone);
  const std::string file = synth("a.h5", {"--client", "medic", "--load", "60", "--pain", "3"});
  const auto seen = strapline({"review", file, "--json"}).json()["cautions_seen"];
  ASSERT_EQ(seen.size(), 4U);
  EXPECT_EQ(seen[0]["kind"], "pain_above_limit");
  EXPECT_EQ(seen[1]["kind"], "load_above_agreed");
  EXPECT_EQ(seen[2]["kind"], "range_beyond_agreed");
  EXPECT_EQ(seen[2]["measure"], "knee_flexion_left");
  EXPECT_TRUE(seen[2]["rep"].is_number());
  for (const auto& one : seen) EXPECT_FALSE(one["source"].get<std::string>().empty());
  const std::string table = strapline({"review", file, "--no-page"}).out;
  EXPECT_THAT(table, HasSubstr("Seen in this set, whatever the aim:"));
  EXPECT_THAT(table, HasSubstr("see a licensed professional"));
  ASSERT_EQ(strapline({"note", file, "--pain", "2", "--load", "50"}).status, kDone);
  EXPECT_THAT(strapline({"review", file, "--no-page"}).out,
              HasSubstr("within the limit of 2 that was agreed"));
}

TEST_F(ReviewAgainstAnAim, NamingTheClientIsEnoughForTheLogbook) {
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  const std::string file = synth("a.h5", {"--client", "medic"});
  EXPECT_THAT(strapline({"review", file, "--no-page", "--client", "medic"}).out,
              HasSubstr("added to " + at("clients/medic/logbook.h5")));
  const std::string other = synth("b.h5", {"--client", "winch operator"});
  expect_refused(strapline({"review", other, "--no-page", "--client", "medic"}), kFailed,
                 "strapline: " + other +
                     ": the recording is of 'winch operator', not of 'medic'; name its own client");
}

TEST_F(ReviewAgainstAnAim, ABrokenClientFileDoesNotHideTheReview) {
  ASSERT_EQ(strapline({"client", "add", "medic"}).status, kDone);
  put("clients/medic/client.toml", "name = 3\n");
  const std::string file = synth("a.h5", {"--client", "medic"});
  const Outcome outcome = strapline({"review", file, "--no-page"});
  EXPECT_EQ(outcome.status, kFailed);
  EXPECT_THAT(outcome.out, HasSubstr("mean"));
  EXPECT_EQ(outcome.err, "strapline: " + at("clients/medic/client.toml") +
                             ":1: 'name' is not a text with something in it\n");
  const Outcome aim = strapline({"review", file, "--no-page", "--aim", at("none.toml")});
  EXPECT_EQ(aim.status, kFailed);
  EXPECT_EQ(aim.err, "strapline: " + at("none.toml") + ": no such aim file; check the path\n");
}

// Units in clients' and aims' files are those of the catalogue: they must be the analysis's own.
TEST_F(ReviewAgainstAnAim, EveryMeasureHasTheUnitThatTheCatalogueSays) {
  int known = 0;
  for (const char* movement : {"squat", "push_up", "pull_up"}) {
    const std::string file = synth(std::string(movement) + ".h5", {"--movement", movement});
    const auto json = strapline({"review", file, "--json"}).json();
    for (const auto& rep : json["reps"]) {
      for (const auto& [name, measure] : rep["measures"].items()) {
        if (!measure.contains("unit")) continue;
        const auto unit = coaching::measure_unit(name);
        ASSERT_TRUE(unit) << name;
        EXPECT_EQ(measure["unit"], dsp::display_unit(*unit)) << name;
        ++known;
      }
    }
  }
  EXPECT_GT(known, 100);
}

}  // namespace
}  // namespace strapline::cli::testing
