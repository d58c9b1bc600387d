#include <algorithm>
#include <cmath>
#include <string>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

const std::vector<std::string> kDates{"2026-10-05", "2026-10-12", "2026-10-19",
                                      "2026-10-26", "2026-11-02", "2026-11-09"};

/// Six weeks in which a medic's squat gets 30° deeper, with more and more load.
class Compare : public CommandTest {
 protected:
  [[nodiscard]] std::string week(std::size_t k, const std::vector<std::string>& more = {}) const {
    std::vector<std::string> all{"--date",       kDates[k],
                                 "--client",     "medic",
                                 "--rpe",        "7",
                                 "--load",       std::to_string(40 + 2 * k),
                                 "--depth",      std::to_string(-24 + 6 * static_cast<int>(k)),
                                 "--seed",       std::to_string(100 + k),
                                 "--placements", "left_thigh,left_shank"};
    all.insert(all.end(), more.begin(), more.end());
    return synth("w" + std::to_string(k) + ".h5", all);
  }
  [[nodiscard]] std::vector<std::string> six_weeks() const {
    std::vector<std::string> files;
    for (std::size_t k = 0; k < kDates.size(); ++k) files.push_back(week(k));
    return files;
  }
  [[nodiscard]] Outcome compare(std::vector<std::string> arguments) const {
    arguments.insert(arguments.begin(), "compare");
    return strapline(arguments);
  }
};

nlohmann::json finding_of(const nlohmann::json& json, const std::string& measure) {
  for (const auto& finding : json["findings"]) {
    if (finding["measure"] == measure) return finding;
  }
  return {};
}

TEST_F(Compare, FindsWhatChangedAndWhatDidNot) {
  std::vector<std::string> arguments = six_weeks();
  arguments.insert(arguments.end(), {"--json", "--matters", "lifting_s=2"});
  const Outcome outcome = compare(arguments);
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  const auto json = outcome.json();
  EXPECT_EQ(json["client"], "medic");
  EXPECT_EQ(json["movement"], "squat");
  ASSERT_EQ(json["sets"].size(), 6U);
  EXPECT_EQ(json["sets"][5]["load_kg"], 50.0);
  EXPECT_EQ(json["sets"][0]["full_reps"], 5);
  const auto depth = finding_of(json, "thigh_depth_left");
  EXPECT_EQ(depth["unit"], "deg");
  EXPECT_EQ(depth["verdict"], "changed");
  // In degrees each is rounded on its own.
  EXPECT_NEAR(depth["difference"].get<double>(),
              depth["latest"]["value"].get<double>() - depth["baseline"]["value"].get<double>(),
              1e-12);
  EXPECT_NEAR(depth["difference"].get<double>(), 30.0, depth["mdc95"].get<double>());
  EXPECT_EQ(depth["error"]["source"], "stated_uncertainty");
  EXPECT_GT(depth["trend"]["interval95"][0], 0.0);
  EXPECT_EQ(depth["values"].size(), 6U);
  const auto lifting = finding_of(json, "lifting_s");
  EXPECT_EQ(lifting["verdict"], "unchanged");
  EXPECT_EQ(lifting["smallest_that_matters"], 2.0);
  EXPECT_THAT(names(), Not(::testing::Contains(HasSubstr(".html"))));
}

TEST_F(Compare, TableSetsLoadsRepsAndEffortBeside) {
  std::vector<std::string> arguments = six_weeks();
  const Outcome outcome = compare(arguments);
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  for (const char* part :
       {"Squat – medic, 6 sets, 2026-10-05 to 2026-11-09", "2026-10-05  40 kg", "RPE 7",
        "Baseline: 2026-10-12, 42 kg, 5 reps, RPE 7", "Latest:   2026-11-09, 50 kg, 5 reps, RPE 7",
        "thigh depth, left", "changed", "Over the weeks:", "rising", "40 kg → 50 kg",
        "Stop on pain"}) {
    EXPECT_THAT(outcome.out, HasSubstr(part));
  }
  EXPECT_THAT(outcome.out, HasSubstr("page: " + at("w0-compared.html")));
  EXPECT_THAT(bytes_of("w0-compared.html"), HasSubstr("medic"));
}

TEST_F(Compare, LogbookAndRecordingsSayTheSame) {
  std::vector<std::string> files = six_weeks();
  std::vector<std::string> add{"logbook", at("medic.h5"), "--add"};
  add.insert(add.end(), files.begin(), files.end());
  ASSERT_EQ(strapline(add).status, kDone);
  std::vector<std::string> from_files = files;
  from_files.push_back("--json");
  const auto json = compare(from_files).json();
  EXPECT_EQ(compare({at("medic.h5"), "--json"}).json(), json);
  EXPECT_EQ(compare({at("medic.h5"), files[2], "--json"}).json(), json);  // a set counts once
  EXPECT_THAT(compare({at("medic.h5")}).out, HasSubstr("page: " + at("medic.html")));
  // The latest set is another one then, and it is asked why it lacks what it lacks.
  from_files.insert(from_files.end(), {"--until", "2026-10-19"});
  const auto earlier = compare({at("medic.h5"), "--json", "--until", "2026-10-19"}).json();
  EXPECT_EQ(earlier, compare(from_files).json());
  EXPECT_EQ(earlier["sets"].size(), 3U);
  ASSERT_FALSE(earlier["not_measured"].empty());
  EXPECT_NE(earlier["not_measured"][0]["reason"], "");
}

/// A difference that matters, as typed: larger than the one found, by less than what two sets tell.
std::string nearly_told_apart(const nlohmann::json& finding) {
  const double matters =
      std::abs(finding["difference"].get<double>()) + 0.9 * finding["mdc95"].get<double>();
  return finding["measure"].get<std::string>() + "=" + std::to_string(matters);
}

TEST_F(Compare, TooFewSetsSayHowManyMore) {
  const auto found = compare({week(0), week(1), "--json"}).json();
  const std::string matters = nearly_told_apart(finding_of(found, "lowering_s"));
  const auto json = compare({at("w0.h5"), at("w1.h5"), "--json", "--matters", matters}).json();
  const auto open = std::find_if(
      json["findings"].begin(), json["findings"].end(),
      [](const auto& f) { return f.contains("further_sets") && f["further_sets"].is_number(); });
  ASSERT_NE(open, json["findings"].end());
  EXPECT_EQ((*open)["verdict"], "cannot tell yet");
  const Outcome table = compare({at("w0.h5"), at("w1.h5"), "--no-page", "--matters", matters,
                                 "--measure", (*open)["measure"].get<std::string>()});
  EXPECT_THAT(table.out, ::testing::ContainsRegex("cannot tell yet +" +
                                                  (*open)["further_sets"].dump() + "\n"));
  const Outcome single = compare({at("w0.h5"), "--no-page"});
  EXPECT_EQ(single.status, kDone);
  EXPECT_THAT(single.out, HasSubstr("Nothing to compare yet"));
}

TEST_F(Compare, WhatMattersComesFromTheClientsFileUnlessTyped) {
  ASSERT_EQ(strapline({"client", "add", "medic", "--clients", at("kept"), "--matters",
                       "lifting_s=2", "--matters", "knee_flexion_left=50"})
                .status,
            kDone);
  const std::string first = week(0);
  const std::string second = week(1);
  const auto json =
      compare({first, second, "--json", "--clients", at("kept"), "--matters", "knee_flexion=40"})
          .json();
  EXPECT_EQ(finding_of(json, "lifting_s")["smallest_that_matters"], 2.0);
  EXPECT_NEAR(finding_of(json, "knee_flexion_left")["smallest_that_matters"].get<double>(), 40.0,
              1e-9);
  ASSERT_EQ(json["matters"].size(), 2U);
  EXPECT_EQ(json["matters"][0]["from"], "command_line");
  EXPECT_EQ(json["matters"][1]["measure"], "lifting_s");
  EXPECT_EQ(json["matters"][1]["from"], "client_file");
  const Outcome table = compare({first, second, "--no-page", "--clients", at("kept")});
  EXPECT_THAT(table.out, HasSubstr("(the client's file)"));
  const Outcome none = compare({first, second, "--no-page"});
  EXPECT_THAT(none.out, HasSubstr("No smallest difference that matters is named"));
  put("kept/medic/client.toml", "name = 3\n");
  EXPECT_EQ(compare({first, second, "--no-page", "--clients", at("kept")}).status, kFailed);
}

TEST_F(Compare, TheLatestSetIsComparedWithinItself) {
  const std::string both =
      synth("both.h5", {"--date", kDates[0], "--client", "medic", "--reps", "9"});
  const auto within =
      compare({both, "--json", "--matters", "lowering_s=9"}).json()["within_latest"];
  EXPECT_EQ(within["full_reps"], 9);
  // Tired legs lift more slowly; they lower as before.
  EXPECT_EQ(finding_of({{"findings", within["thirds"]}}, "lifting_s")["verdict"], "changed");
  const auto lowering = finding_of({{"findings", within["thirds"]}}, "lowering_s");
  EXPECT_EQ(lowering["first"]["reps"], 3);
  EXPECT_EQ(lowering["degrees_of_freedom"], 4.0);
  EXPECT_EQ(lowering["verdict"], "unchanged");
  const auto knee = finding_of({{"findings", within["sides"]}}, "knee_flexion");
  EXPECT_EQ(knee["left"]["reps"], 9);
  EXPECT_NEAR(knee["difference"].get<double>(),
              knee["left"]["value"].get<double>() - knee["right"]["value"].get<double>(), 1e-9);
  const Outcome table = compare({both, "--no-page"});
  for (const char* part : {"Within the latest set:", "First third of the reps against the last",
                           "Left against right, over the same reps"}) {
    EXPECT_THAT(table.out, HasSubstr(part));
  }
  EXPECT_THAT(compare({week(1), "--no-page"}).out, HasSubstr("this set has 5."));
}

TEST_F(Compare, MeasureAndUntilNarrowIt) {
  std::vector<std::string> arguments = six_weeks();
  arguments.insert(arguments.end(), {"--json", "--measure", "knee_flexion", "--measure", "range",
                                     "--until", "2026-10-19"});
  const auto json = compare(arguments).json();
  EXPECT_EQ(json["sets"].size(), 3U);  // the day itself is in
  ASSERT_EQ(json["findings"].size(), 2U);
  EXPECT_EQ(json["findings"][0]["measure"], "knee_flexion_left");
  EXPECT_EQ(json["findings"][1]["measure"], "range");
}

TEST_F(Compare, UnlikeSetsAreShownButNotCompared) {
  const std::string other = week(0, {"--variation", "heels raised"});
  const auto json = compare({other, week(1), week(2), "--json"}).json();
  ASSERT_EQ(json["left_out"].size(), 1U);
  EXPECT_EQ(json["left_out"][0]["set"], 0);
  EXPECT_THAT(json["left_out"][0]["in_words"],
              HasSubstr("variation 'heels raised' instead of none"));
}

TEST_F(Compare, WrongInputIsRefused) {
  const std::string first = week(0);
  const std::string other = synth("o.h5", {"--client", "winch operator", "--date", kDates[1]});
  const std::string undated = synth("undated.h5", {"--client", "medic"});
  put("text.txt", "no recording");
  const auto kept = names();
  expect_refused(compare({at("none.h5")}), kFailed,
                 "strapline: " + at("none.h5") + ": no such file; check the name");
  expect_refused(
      compare({at("text.txt")}), kFailed,
      "strapline: " + at("text.txt") + ": not an HDF5 file; give a file that this program wrote");
  expect_refused(compare({first, "--until", "soon"}), kFailed,
                 "strapline: --until: 'soon' is no date; write it as 2026-11-25 or "
                 "2026-11-25T08:00:00Z");
  expect_refused(compare({first, "--matters", "range"}), kFailed,
                 "strapline: --matters: \"range\" is not NAME=VALUE with a value above 0; write it "
                 "as knee_flexion=5");
  expect_refused(compare({first, "--matters", "elbow_flexion=5"}), kFailed,
                 "strapline: --matters: no set measures elbow_flexion; name a measure that the "
                 "sets have");
  expect_refused(compare({first, "--until", "2020-01-01"}), kFailed,
                 "strapline: no sets to compare; record or import a set first");
  EXPECT_THAT(
      compare({first, "--measure", "depth"}).err,
      HasSubstr("strapline: --measure: unknown measure \"depth\"; use one of thigh_depth,"));
  EXPECT_THAT(compare({first, other}).err, HasSubstr("sets of 'medic' and 'winch operator'"));
  EXPECT_EQ(compare({first, other}).status, kFailed);
  EXPECT_THAT(compare({first, undated}).err,
              HasSubstr("undated.h5: no date is logged; give --date when importing"));
  EXPECT_THAT(names(), ::testing::ElementsAreArray(kept));
}

}  // namespace
}  // namespace strapline::cli::testing
