#include <cmath>

#include <gmock/gmock.h>

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

class Synth : public CommandTest {};

double mean_of(const nlohmann::json& truth, const std::string& measure) {
  double sum = 0.0;
  for (const auto& rep : truth["reps"]) sum += rep["measures"][measure]["value"].get<double>();
  return sum / static_cast<double>(truth["reps"].size());
}

// What is asked for is what the truth says, within what reps vary by (2° and 6 % at most three
// times, over ten reps).
TEST_F(Synth, TruthIsWhatWasAskedFor) {
  const Outcome outcome =
      strapline({"synth", "-o", at("a.h5"), "--truth", "-", "--reps", "10", "--depth", "-10",
                 "--tempo", "3/1/2/1", "--trunk-lean", "25", "--height", "1.9"});
  ASSERT_EQ(outcome.status, kDone) << outcome.err;
  const auto truth = outcome.json();  // nothing but the object
  ASSERT_EQ(truth["reps"].size(), 10U);
  EXPECT_NEAR(mean_of(truth, "thigh_depth_left"), -10.0, 3.0);
  EXPECT_NEAR(mean_of(truth, "trunk_lean"), 25.0, 3.0);
  EXPECT_NEAR(mean_of(truth, "lowering_s"), 3.0, 0.3);
  EXPECT_NEAR(mean_of(truth, "bottom_hold_s"), 1.0, 0.2);
  EXPECT_EQ(truth["body_m"]["height"], 1.9);
}

TEST_F(Synth, TheSameSeedGivesTheSameReadings) {
  const auto digest = [&](const std::string& name, const std::string& seed) {
    const std::string file = synth(name, {"--random", "--seed", seed, "--date", "2026-11-25"});
    return strapline({"review", file, "--json"}).json()["set_id"].get<std::string>();
  };
  const std::string first = digest("a.h5", "7");
  EXPECT_EQ(digest("b.h5", "7"), first);
  EXPECT_NE(digest("c.h5", "8"), first);
}

TEST_F(Synth, OptionsGoBeforeWhatIsDrawn) {
  synth("a.h5", {"--random", "--reps", "4", "--truth", at("t.json"), "--truth-traces", "10",
                 "--truth-orientation"});
  const auto truth = nlohmann::json::parse(bytes_of("t.json"));
  EXPECT_EQ(truth["reps"].size(), 4U);
  EXPECT_GT(truth["traces"]["t_s"].size(), 100U);
  EXPECT_GT(truth["straps"][0]["q_world_from_sensor"].size(), 100U);
}

TEST_F(Synth, EveryMovementHasASimulatorAndDisturbances) {
  for (const char* movement : {"lunge", "row", "free"}) {
    const auto outcome =
        strapline({"synth", "-o", at("a.h5"), "--overwrite", "--movement", movement, "--reps", "6",
                   "--disturbances", "part_reps,walk_out", "--truth", "-"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    int part = 0;
    const auto truth = outcome.json();
    for (const auto& rep : truth["reps"]) part += rep["part"].get<bool>() ? 1 : 0;
    EXPECT_EQ(part, 2) << movement;
  }
  EXPECT_EQ(strapline({"synth", "-o", at("b.h5"), "--idle", "0.5"}).status, 0);
  expect_refused(strapline({"synth", "-o", at("c.h5"), "--disturbances", "earthquake"}), kFailed,
                 "strapline: no disturbance 'earthquake'; use one of all, unracking, walk_out, "
                 "re_grip, pause, part_reps, grind, strap_fiddling, rest");
}

TEST_F(Synth, WrongInputIsRefusedAndNothingWritten) {
  const auto refused = [&](const std::vector<std::string>& options, int status,
                           const std::string& line) {
    std::vector<std::string> all{"synth", "-o", at("a.h5")};
    all.insert(all.end(), options.begin(), options.end());
    SCOPED_TRACE(line);
    expect_refused(strapline(all), status, "strapline: " + line);
    EXPECT_THAT(names(), IsEmpty());
  };
  refused({"--load", "-5"}, kFailed, "load: -5 kg cannot be right; give 0 kg or more");
  refused({"--tempo", "2/1"}, kFailed,
          "--tempo: \"2/1\" is no tempo; give lowering/bottom hold/lifting/top hold in seconds, "
          "e.g. 2/0.5/1.5/1");
  refused({"--height", "9"}, kFailed, "synthetic set: height is 9 m; choose 1 to 2.5 m");
  EXPECT_THAT(strapline({"synth", "-o", at("a.h5"), "--placements", "tail"}).err,
              HasSubstr("unknown placement \"tail\"; use one of "));
  EXPECT_EQ(strapline({"synth", "-o", at("a.h5"), "--part", "gold"}).status, kFailed);
  EXPECT_EQ(strapline({"synth", "-o", at("a.h5"), "--movement", "cartwheel"}).status, kUsage);
  EXPECT_EQ(strapline({"synth"}).status, kUsage);
  EXPECT_THAT(names(), IsEmpty());
}

}  // namespace
}  // namespace strapline::cli::testing
