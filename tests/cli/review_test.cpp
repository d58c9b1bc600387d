#include <cmath>
#include <fstream>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

class Review : public CommandTest {};

// The contract of `review --json`: keys, spellings and units.
TEST_F(Review, JsonHasTheAgreedShape) {
  const std::string file = synth("a.h5", {"--placements", "left_thigh,left_shank"});
  const Outcome outcome = strapline({"review", file, "--json"});
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  const nlohmann::json json = outcome.json();
  EXPECT_EQ(json["movement"], "squat");
  EXPECT_EQ(json["placements"], nlohmann::json({"left_thigh", "left_shank"}));
  ASSERT_EQ(json["reps"].size(), 5U);
  for (const auto& rep : json["reps"]) {
    double last = 0.0;
    for (const char* key : {"start_s", "turn_in_s", "turn_out_s", "end_s"}) {
      EXPECT_GE(rep[key].get<double>(), last) << key;
      last = rep[key];
    }
    EXPECT_EQ(rep["part"], false);
    const auto& measures = rep["measures"];
    for (const char* name : {"thigh_depth_left", "knee_flexion_left", "range"}) {
      EXPECT_EQ(measures[name]["unit"], "deg") << name;
      EXPECT_GT(measures[name]["u"], 0.0) << name;
      EXPECT_TRUE(measures[name]["value"].is_number()) << name;
    }
    for (const char* name : {"knee_line_distance_left", "knee_travel_left"}) {
      EXPECT_EQ(measures[name]["unit"], "cm") << name;
    }
    for (const char* name : {"lowering_s", "bottom_hold_s", "lifting_s"}) {
      EXPECT_EQ(measures[name]["unit"], "s") << name;
    }
    for (const char* name : {"knee_flexion_right", "trunk_lean"}) {
      EXPECT_EQ(measures[name].size(), 1U) << name;
      EXPECT_THAT(measures[name]["not_measured"], HasSubstr("needs a strap on")) << name;
    }
  }
  EXPECT_EQ(json["reps"][4]["measures"]["top_hold_s"],
            nlohmann::json({{"not_measured", "no rep follows"}}));
  EXPECT_THAT(names(), ElementsAre("a.h5"));  // no page
}

// The most inward knee line angle is taken where the thigh comes close to horizontal, beyond which
// the angle is not defined: it may be large on one side of that border and missing on the other,
// and its uncertainty does not say so.
bool is_extreme_at_its_limit(const std::string& name) {
  return name == "knee_line_angle_left" || name == "knee_line_angle_right";
}

// The truth's names and units are the review's, and the errors are within what is stated.
TEST_F(Review, AgreesWithTheTruthOfSyntheticSets) {
  int compared = 0, covered = 0, reps = 0;
  double worst = 0.0;  // in stated uncertainties
  for (int seed = 1; seed <= 12; ++seed) {
    const std::string file = synth(
        "s" + std::to_string(seed) + ".h5",
        {"--random", "--seed", std::to_string(seed), "--tilt", "15", "--truth", at("truth.json")});
    const auto seen = strapline({"review", file, "--json"}).json();
    const auto truth = nlohmann::json::parse(bytes_of("truth.json"));
    ASSERT_EQ(seen["reps"].size(), truth["reps"].size()) << "seed " << seed;
    for (std::size_t k = 0; k < truth["reps"].size(); ++k) {
      const auto& measures = seen["reps"][k]["measures"];
      ++reps;
      for (const auto& [name, true_value] : truth["reps"][k]["measures"].items()) {
        ASSERT_TRUE(measures.contains(name)) << name;
        if (!true_value.contains("value") || !measures[name].contains("value")) continue;
        EXPECT_EQ(measures[name]["unit"], true_value["unit"]) << name;
        const double error =
            measures[name]["value"].get<double>() - true_value["value"].get<double>();
        const double ratio = std::abs(error) / measures[name]["u"].get<double>();
        ++compared;
        covered += ratio <= 1.96 ? 1 : 0;
        if (!is_extreme_at_its_limit(name)) worst = std::max(worst, ratio);
      }
    }
  }
  const double share = static_cast<double>(covered) / compared;
  RecordProperty("compared", compared);
  RecordProperty("covered_share", std::to_string(share));
  EXPECT_GT(reps, 40);
  EXPECT_GT(compared, 20 * reps);
  // Stated at 95 %; errors of one set go together, so that twelve sets scatter by some per cent.
  EXPECT_GE(share, 0.90);
  EXPECT_LE(worst, 5.0);
}

TEST_F(Review, TableHasARowPerRepAndListsReasonsOnce) {
  const std::string file =
      synth("a.h5", {"--placements", "left_thigh,left_shank", "--client", "winch operator",
                     "--load", "60", "--rpe", "7", "--pain", "2", "--pain-place", "left knee",
                     "--notes", "new shoes", "--date", "2026-11-25"});
  const Outcome outcome = strapline({"review", file});
  ASSERT_EQ(outcome.status, kDone);
  for (const char* part :
       {"Squat – winch operator, 2026-11-25 00:00", "5 reps, 60 kg, RPE 7, pain 2/10, left knee",
        "Notes: new shoes", "\n1 ", "\n5 ", "mean", "SD", " ± ",
        "Not measured:", "needs a strap on right_thigh", "Stop on pain",
        "see a licensed professional", "± is one standard uncertainty"}) {
    EXPECT_THAT(outcome.out, HasSubstr(part));
  }
  const std::string reason = "needs a strap on right_shank";
  EXPECT_EQ(outcome.out.find(reason), outcome.out.rfind(reason));
  EXPECT_THAT(outcome.out, HasSubstr("page: " + at("a.html")));
  EXPECT_THAT(bytes_of("a.html"), HasSubstr("winch operator"));
}

TEST_F(Review, PageGoesWhereItIsToldOrNowhere) {
  const std::string file = synth("a.h5");
  EXPECT_EQ(strapline({"review", file, "--no-page"}).status, kDone);
  EXPECT_THAT(names(), ElementsAre("a.h5"));
  const Outcome json = strapline({"review", file, "--json", "--page", at("b.html")});
  EXPECT_EQ(json.json()["reps"].size(), 5U);  // nothing but the object
  EXPECT_THAT(names(), ElementsAre("a.h5", "b.html"));
}

TEST_F(Review, SaveKeepsTheReadingsAndLogbookTakesASetOnce) {
  const std::string file = synth("a.h5");
  const auto before = strapline({"review", file, "--json"}).json();
  const Outcome saved = strapline({"review", file, "--no-page", "--save", "--logbook", at("l.h5")});
  EXPECT_EQ(saved.status, kDone) << saved.err;
  EXPECT_THAT(saved.out, HasSubstr("results stored in " + file));
  EXPECT_THAT(saved.out, HasSubstr("added to " + at("l.h5")));
  EXPECT_THAT(strapline({"check", file}).out, HasSubstr("note: results of strapline-set"));
  EXPECT_EQ(strapline({"review", file, "--json"}).json(), before);
  const std::string logbook = bytes_of("l.h5");
  EXPECT_THAT(strapline({"review", file, "--no-page", "--logbook", at("l.h5")}).out,
              HasSubstr("already in " + at("l.h5")));
  EXPECT_EQ(bytes_of("l.h5"), logbook);
}

TEST_F(Review, AnotherMovementCanBeAskedFor) {
  const std::string file = synth("a.h5");
  const auto json = strapline({"review", file, "--json", "--movement", "free"}).json();
  EXPECT_EQ(json["movement"], "free");
  EXPECT_EQ(json["reps"].size(), 5U);
  EXPECT_FALSE(json["reps"][0]["measures"].contains("knee_flexion_left"));
}

TEST_F(Review, RefusesWhatItCannotRead) {
  const std::string file = synth("a.h5");
  const std::string whole = bytes_of("a.h5");
  put("short.h5", whole.substr(0, whole.size() / 2));
  put("text.h5", "not a recording\n");
  put("empty.h5", "");
  expect_refused(strapline({"review", at("none.h5")}), kFailed,
                 "strapline: " + at("none.h5") + ": no such file; check the name");
  expect_refused(
      strapline({"review", at("text.h5")}), kFailed,
      "strapline: " + at("text.h5") + ": not an HDF5 file; give a file that this program wrote");
  expect_refused(strapline({"review", at("empty.h5")}), kFailed,
                 "strapline: " + at("empty.h5") + ": the file is empty");
  expect_refused(strapline({"review", at("short.h5")}), kFailed,
                 "strapline: " + at("short.h5") + ": the file is cut short: " +
                     std::to_string(whole.size() / 2) + " of " + std::to_string(whole.size()) +
                     " bytes; restore it from a copy, or recover it from its journal");
  expect_refused(strapline({"review", at("")}), kFailed,
                 "strapline: " + at("") + ": not a file; give the name of a file");
  EXPECT_THAT(names(), ElementsAre("a.h5", "empty.h5", "short.h5", "text.h5"));
}

TEST_F(Review, RefusesAnUnknownMovementAndALogbook) {
  const std::string file = synth("a.h5");
  expect_refused(strapline({"review", file, "--movement", "cartwheel"}), kFailed,
                 "strapline: no movement 'cartwheel'; use one of bench_press, dip, free, "
                 "front_squat, hip_hinge, lunge, overhead_press, pull_down, pull_up, push_up, row, "
                 "split_squat, squat, step_down, or "
                 "the path of a .toml file");
  ASSERT_EQ(strapline({"logbook", at("l.h5"), "--add", file}).status, kDone);
  expect_refused(strapline({"review", at("l.h5")}), kFailed,
                 "strapline: " + at("l.h5") +
                     ": an HDF5 file, but not a recording (it says strapline-logbook)");
}

// A slip of the keyboard must not replace a recording by a page.
TEST_F(Review, NeverWritesAPageOverSomethingElse) {
  const std::string file = synth("a.h5");
  const std::string before = bytes_of("a.h5");
  const Outcome outcome = strapline({"review", file, "--page", file});
  EXPECT_EQ(outcome.status, kFailed);
  EXPECT_EQ(outcome.err,
            "strapline: " + file + ": a page's name must end in .html; give another name\n");
  EXPECT_EQ(bytes_of("a.h5"), before);
  const Outcome lost = strapline({"review", file, "--page", at("no/folder/a.html")});
  EXPECT_EQ(lost.status, kFailed);
  EXPECT_THAT(lost.err, HasSubstr("check the folder"));
  EXPECT_THAT(lost.out, HasSubstr("mean"));  // the review itself is not lost
}

}  // namespace
}  // namespace strapline::cli::testing
