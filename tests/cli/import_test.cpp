#include <fstream>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

class Import : public CommandTest {
 protected:
  [[nodiscard]] std::vector<std::string> arguments(const std::string& csv,
                                                   std::vector<std::string> more = {}) const {
    more.insert(more.begin(), {"import", "--sensor", "left_thigh=" + csv, "-o", at("out.h5")});
    return more;
  }
};

TEST_F(Import, MakesARecordingWithAllThatWasEntered) {
  const std::string csv = put_csv("thigh.csv", 30.0);
  const Outcome outcome = strapline(arguments(csv, {"--sensor",      "left_shank=" + csv,
                                                    "--client",      "medic",
                                                    "--height",      "1.8",
                                                    "--load",        "62.5",
                                                    "--thigh",       "0.44",
                                                    "--variation",   "box",
                                                    "--kit",         "own",
                                                    "--date",        "2026-11-25",
                                                    "--rir",         "2",
                                                    "--pain",        "0",
                                                    "--notes",       "a note",
                                                    "--still",       "0:3",
                                                    "--align",       "4:9",
                                                    "--set",         "10:25",
                                                    "--still-after", "26:29.5"}));
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(outcome.out,
            "left_thigh: 1501 samples in 30.00 s, 50 Hz\nleft_shank: 1501 samples in 30.00 s, 50 "
            "Hz\nwrote " +
                at("out.h5") + "\n");
  const auto set = strapline({"review", at("out.h5"), "--json"}).json()["set"];
  EXPECT_EQ(set["client"], "medic");
  EXPECT_EQ(set["movement"], "squat");
  EXPECT_EQ(set["variation"], "box");
  EXPECT_EQ(set["kit"], "own");
  EXPECT_EQ(set["started_utc"], "2026-11-25T00:00:00Z");
  EXPECT_EQ(set["load_kg"], 62.5);
  EXPECT_EQ(set["effort_rpe"], nullptr);
  EXPECT_EQ(set["reps_in_reserve"], 2.0);
  EXPECT_EQ(set["pain"], 0.0);
  EXPECT_EQ(set["notes"], "a note");
}

// 1 g, 180 °/s and milliseconds say the same as 9.80665 m/s², π rad/s and seconds.
TEST_F(Import, UnitsAreOptions) {
  std::string text = "t,ax,ay,az,gx,gy,gz\n";
  for (int i = 0; i < 500; ++i) text += std::to_string(20 * i) + ",0,1,0,0,0,0\n";
  put("g.csv", text);
  const Outcome outcome = strapline(
      arguments(at("g.csv"), {"--acc-unit", "g", "--gyr-unit", "deg/s", "--time-unit", "ms"}));
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("500 samples in 9.98 s, 50 Hz"));
}

TEST_F(Import, RateStandsInForTimes) {
  put("a.csv", "ax,ay,az,gx,gy,gz\n0,9.8,0,0,0,0\n0,9.8,0,0,0,0\n0,9.8,0,0,0,0\n");
  expect_refused(strapline(arguments(at("a.csv"))), kFailed,
                 "strapline: " + at("a.csv") + ": there is no column t; give the sample rate");
  const Outcome outcome = strapline(arguments(at("a.csv"), {"--rate", "100"}));
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("3 samples in 0.02 s, 100 Hz"));
}

TEST_F(Import, LostSamplesAreSaid) {
  put("a.csv",
      "t,ax,ay,az,gx,gy,gz\n0.0,0,9.8,0,0,0,0\n0.1,0,nan,0,0,0,0\n0.2,0,9.8,0,0,0,0\n"
      "0.3,0,9.8,0,0,0,0\n0.4,0,9.8,0,0,0,0\n");
  const Outcome outcome = strapline(arguments(at("a.csv")));
  EXPECT_EQ(outcome.status, kDoneWithLosses);
  EXPECT_THAT(outcome.err, StartsWith("strapline: " + at("a.csv") +
                                      ": 1 of 5 samples have missing values and were left out\n"));
  EXPECT_THAT(names(), ElementsAre("a.csv", "out.h5"));
}

TEST_F(Import, BadCellIsNamedByItsLine) {
  put("a.csv", "t,ax,ay,az,gx,gy,gz\n0.0,0,9.8,0,0,0,0\n0.1,0,9.8,0,0,oops,0\n");
  const Outcome outcome = strapline(arguments(at("a.csv")));
  expect_refused(
      outcome, kFailed,
      "strapline: " + at("a.csv") +
          ":3:gy: \"oops\" is not a number; leave the cell empty where the value is missing");
  EXPECT_THAT(names(), ElementsAre("a.csv"));
}

struct WrongInput {
  std::vector<std::string> options;
  int status;
  std::string line;
};

// Files are fine, what was entered is not: one line, and nothing is written.
TEST_F(Import, WrongEntriesAreRefused) {
  const std::string csv = put_csv("thigh.csv", 10.0);
  const std::vector<WrongInput> cases{
      {{"--load", "-5"}, kFailed, "load: -5 kg cannot be right; give 0 kg or more"},
      {{"--height", "18"}, kFailed, "height: 18 m cannot be right; give 0.5 to 2.6 m"},
      {{"--rpe", "11"}, kFailed, "effort: 11 cannot be right; give 1 to 10"},
      {{"--pain", "-1"}, kFailed, "pain: -1 cannot be right; give 0 to 10"},
      {{"--date", "yesterday"},
       kFailed,
       "started_utc: \"yesterday\" is not a UTC time; write it as 2026-11-25T08:00:00Z"},
      {{"--set", "5:5"},
       kFailed,
       "set: the set part ends at 5 s, not after its start at 5 s; give FROM:TO with FROM before "
       "TO"},
      {{"--still", "3:1"},
       kFailed,
       "still: the still part ends at 1 s, not after its start at 3 s; give FROM:TO with FROM "
       "before TO"},
      {{"--set", "2:20"},
       kFailed,
       "set: the set part 2 s to 20 s lies outside the recording; the recording goes from 0.00 s "
       "to 10.00 s"},
      {{"--set", "2-9"},
       kUsage,
       "--set: \"2-9\" is not FROM:TO in seconds, e.g. 0:3.5; see strapline --help"},
      {{"--movement", "cartwheel"},
       kFailed,
       "no movement 'cartwheel'; use one of bench_press, dip, free, front_squat, hip_hinge, lunge, "
       "overhead_press, pull_down, pull_up, push_up, row, split_squat, squat, step_down, or the "
       "path of a .toml "
       "file"},
      {{"--acc-unit", "furlong"},
       kFailed,
       "--acc-unit: unknown unit \"furlong\"; use m/s2, g or mg"},
      {{"--rate", "0"}, kFailed, csv + ": a rate of 0 Hz is not possible"},
      {{"--sensor", "left_thigh=" + csv},
       kFailed,
       "left_thigh: two straps are on this placement; give each strap its own"},
      {{"--sensor", csv},
       kUsage,
       "--sensor: \"" + csv + "\" is not PLACEMENT=FILE.csv; see strapline --help"},
      {{"--load", "heavy"}, kUsage, "Could not convert: --load = heavy; see strapline --help"},
  };
  for (const WrongInput& wrong : cases) {
    SCOPED_TRACE(wrong.line);
    expect_refused(strapline(arguments(csv, wrong.options)), wrong.status,
                   "strapline: " + wrong.line);
    EXPECT_THAT(names(), ElementsAre("thigh.csv"));
  }
}

TEST_F(Import, UnknownPlacementAndMissingFile) {
  const std::string csv = put_csv("thigh.csv", 1.0);
  const Outcome placement =
      strapline({"import", "--sensor", "left_elbow=" + csv, "-o", at("out.h5")});
  EXPECT_EQ(placement.status, kFailed);
  EXPECT_EQ(placement.out, "");
  EXPECT_THAT(placement.err,
              StartsWith("strapline: --sensor: unknown placement \"left_elbow\"; use one of "));
  EXPECT_THAT(placement.err, HasSubstr("left_thigh, right_thigh"));
  EXPECT_EQ(std::count(placement.err.begin(), placement.err.end(), '\n'), 1);
  expect_refused(strapline(arguments(at("none.csv"))), kFailed,
                 "strapline: " + at("none.csv") + ": no such file; check the name");
  EXPECT_THAT(names(), ElementsAre("thigh.csv"));
}

TEST_F(Import, AFileThatIsThereStays) {
  const std::string csv = put_csv("thigh.csv", 1.0);
  put("out.h5", "somebody's only copy");
  expect_refused(strapline(arguments(csv)), kFailed,
                 "strapline: " + at("out.h5") +
                     ": the file exists already; choose another name, or give --overwrite");
  EXPECT_EQ(bytes_of("out.h5"), "somebody's only copy");
  EXPECT_EQ(strapline(arguments(csv, {"--overwrite"})).status, kDone);
  EXPECT_EQ(strapline({"check", at("out.h5")}).status, kDone);
}

// Open research data, outside the project; see the README of the data folder for sources. The file
// starts while the person is still walking up and ends with steps, so the set is marked, as a
// coach would: the truth's knee is straight and quiet at 2 s and 39 s.
TEST_F(Import, TenSitToStandsOfALab) {
  const auto block = data_folder() / "joints/knee_lab/block1";
  if (!std::filesystem::exists(block)) GTEST_SKIP() << "SKIPPED: no data at " << block;
  const Outcome made = strapline(
      {"import", "--sensor", "left_thigh=" + (block / "left_thigh.csv").string(), "--sensor",
       "left_shank=" + (block / "left_shank.csv").string(), "--set", "2:39", "-o", at("block.h5")});
  ASSERT_EQ(made.status, kDone) << made.err;
  EXPECT_EQ(strapline({"check", at("block.h5")}).status, kDone);
  const auto reps = strapline({"review", at("block.h5"), "--json"}).json()["reps"];
  ASSERT_EQ(reps.size(), 10U);
  for (const auto& rep : reps) EXPECT_EQ(rep["part"], false);
}

// As above. The seat's force says when the person left it, five times; the strap is on the thigh
// (sensor 3 of 1 trunk … 5 shank). Leaving the seat starts the turn back to standing.
TEST_F(Import, FiveStandsWithOneStrapOfAnUnknownPlace) {
  const auto folder = data_folder() / "reps/sit_to_stand/subject_01";
  if (!std::filesystem::exists(folder)) GTEST_SKIP() << "SKIPPED: no data at " << folder;
  const Outcome made =
      strapline({"import", "--movement", "free", "--sensor",
                 "other=" + (folder / "sensor3.csv").string(), "-o", at("stands.h5")});
  ASSERT_EQ(made.status, kDone) << made.err;
  const auto reps = strapline({"review", at("stands.h5"), "--json"}).json()["reps"];
  std::ifstream truth(folder / "seat_off.csv");
  std::vector<double> seat_off;
  std::string line;
  std::getline(truth, line);
  while (std::getline(truth, line)) seat_off.push_back(std::stod(line));
  ASSERT_EQ(seat_off.size(), 5U);
  ASSERT_EQ(reps.size(), seat_off.size());
  for (std::size_t i = 0; i < seat_off.size(); ++i) {
    EXPECT_LT(reps[i]["start_s"].get<double>() - 0.5, seat_off[i]);
    EXPECT_GT(reps[i]["end_s"], seat_off[i]);
    EXPECT_TRUE(reps[i]["measures"]["range"].contains("value"));
    EXPECT_TRUE(reps[i]["measures"]["lowering_s"].contains("value"));
  }
}

}  // namespace
}  // namespace strapline::cli::testing
