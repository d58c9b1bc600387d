// Calibrating at the desk, live: a virtual strap that lies in a dozen ways, with the errors that
// the simulator draws for its part, over a pseudo-terminal; what is found, kept, listed, and
// applied in the strap's next recording.

#include <cmath>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <memory>
#include <sstream>

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "strapline/cli/program.hpp"
#include "strapline/recordings/calibration_store.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

#include "child_program.hpp"
#include "run_line.hpp"

namespace strapline {
namespace {

namespace fs = std::filesystem;
using testing::LineResult;
namespace synthetic = recordings::synthetic;
using testing::ChildProgram;
using testing::run_line;
using ::testing::HasSubstr;

constexpr const char* kSpeed = "15";
constexpr std::uint64_t kSeed = 21;
constexpr dsp::Placement kLeftThigh{dsp::Segment::thigh, dsp::Side::left};

class CalibrateLive : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() /
              (std::string("strapline-") + test->name() + "-" + std::to_string(::getpid()));
    fs::create_directories(folder_);
    ::setenv("STRAPLINE_CALIBRATIONS", file("kept").c_str(), 1);
    ::setenv("STRAPLINE_CLIENTS", file("clients").c_str(), 1);
    setup_.seed = kSeed;
    setup_.placements = {kLeftThigh};
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] std::string file(const std::string& name) const {
    return (folder_ / name).string();
  }

  void write(const std::string& name, const recordings::Recording& recording) const {
    ASSERT_TRUE(recordings::write_recording(file(name), recording));
  }

  /// The desk recording of so many poses, in desk.h5.
  synthetic::SyntheticSet desk(int poses, int turns = 0) const {
    auto made = synthetic::synthesize_desk({kSeed, poses, turns}, setup_).value();
    write("desk.h5", made.recording);
    return made;
  }

  [[nodiscard]] std::unique_ptr<ChildProgram> replay(const std::string& name) const {
    return std::make_unique<ChildProgram>(
        std::vector<std::string>{STRAPLINE_PROGRAM, "replay", file(name), "--speed", kSpeed,
                                 "--pty", file("ports"), "--json"},
        folder_, name + "-replay");
  }

  static std::string address_of(ChildProgram& replay) {
    const auto printed = nlohmann::json::parse(replay.first_line(), nullptr, false);
    EXPECT_FALSE(printed.is_discarded()) << replay.err();
    return printed.is_discarded() ? "" : printed["straps"][0]["address"].get<std::string>();
  }

  /// What `straps` says of the strap that replays NAME.
  [[nodiscard]] LineResult straps(const std::string& name, bool json) const {
    const auto player = replay(name);
    std::vector<std::string> line{"straps", address_of(*player)};
    if (json) line.emplace_back("--json");
    const auto result = run_line(line);
    player->signal(SIGTERM);
    player->wait();
    return result;
  }

  [[nodiscard]] LineResult calibrate(const std::vector<std::string>& more = {}) const {
    const auto player = replay("desk.h5");
    std::vector<std::string> line{"calibrate", "--strap",     address_of(*player), "--speed",
                                  kSpeed,      "--recording", file("desk_live.h5")};
    line.insert(line.end(), more.begin(), more.end());
    const auto result = run_line(line);
    player->signal(SIGTERM);
    player->wait();
    return result;
  }

  fs::path folder_;
  synthetic::StrapSetup setup_;
};

std::string today() { return fmt::format("{:%Y-%m-%d}", fmt::gmtime(std::time(nullptr))); }

TEST_F(CalibrateLive, WhatTheDeskShowsIsKeptListedAndAppliedInTheNextRecording) {
  const auto made = desk(12);
  const std::uint64_t device = made.recording.straps[0].device_id;
  EXPECT_THAT(straps("desk.h5", false).out, HasSubstr("not calibrated"));

  const auto result = calibrate();
  ASSERT_EQ(result.status, cli::kDone) << result.out << result.err;
  EXPECT_THAT(result.out, HasSubstr("12 poses"));
  EXPECT_THAT(result.out, HasSubstr(fmt::format("strap {:016x}: calibrated {}", device, today())));
  EXPECT_TRUE(fs::exists(file("desk_live.h5")));
  EXPECT_FALSE(fs::exists(file("desk_live.h5.journal")));

  // What the simulator drew: reading = gain · true + bias.
  const synthetic::StrapTruth& truth = made.straps[0];
  const auto stored = recordings::find_calibration(file("kept"), device);
  ASSERT_TRUE(stored && *stored);
  const dsp::StrapCalibration& found = (*stored)->calibration.values;
  EXPECT_GT(found.residual_before, 5.0 * found.residual_after);
  EXPECT_LT(found.residual_after, 0.01);
  for (Eigen::Index k = 0; k < 3; ++k) {
    EXPECT_NEAR(found.acc.gain(k, k) * truth.acc_gain(k, k), 1.0,
                4.0 * found.acc.gain_u(k, k) + 5e-4);
    EXPECT_NEAR(found.gyr.offset[k], truth.gyr_bias[k], 4.0 * found.gyr.offset_u[k] + 3e-4);
  }
  const Eigen::Vector3d offset = truth.acc_bias - found.acc.offset;
  EXPECT_LT(offset.cwiseAbs().maxCoeff(), 4.0 * found.acc.offset_u.maxCoeff() + 0.01);

  // The same strap, on a thigh.
  EXPECT_THAT(straps("desk.h5", false).out, HasSubstr("calibrated " + today()));
  const auto listed = nlohmann::json::parse(straps("desk.h5", true).out);
  EXPECT_THAT(listed["straps"][0]["strap"]["calibrated_utc"].get<std::string>(),
              HasSubstr(today()));
  synthetic::SquatSetParams params;
  params.seed = kSeed;
  params.reps = 1;
  write("set.h5", synthetic::synthesize(params, setup_).value());
  const auto player = replay("set.h5");
  const auto recorded =
      run_line({"record", "--client", "medic", "--speed", kSpeed, "-o", file("got.h5"), "--strap",
                "left_thigh=" + address_of(*player), "--still", "0.3:2.5", "--set", "2.5:99"});
  player->wait();
  ASSERT_EQ(recorded.status, cli::kDone) << recorded.err;
  EXPECT_THAT(recorded.out, HasSubstr("calibrated " + today()));
  const auto got = recordings::read_recording(file("got.h5"));
  ASSERT_TRUE(got) << got.error().line();
  ASSERT_TRUE(got->straps[0].calibration.has_value());
  EXPECT_EQ(got->straps[0].calibration->values.acc.gain, found.acc.gain);
  EXPECT_THAT(run_line({"review", file("got.h5"), "--no-page"}).out,
              HasSubstr("left_thigh: calibrated " + today()));
  // Applied: at rest the reading is gravity to what calibrating leaves.
  const auto still = dsp::still_poses(recordings::to_series(got->straps[0]).data);
  ASSERT_FALSE(still.empty());
  EXPECT_NEAR(still.front().acc_mean.norm(), dsp::kStandardGravity, 0.03);
}

TEST_F(CalibrateLive, TurnsGiveTheGyroscopesScale) {
  const auto made = desk(9, 2);
  const auto result = calibrate({"--turns", "2"});
  ASSERT_EQ(result.status, cli::kDone) << result.out << result.err;
  EXPECT_THAT(result.out, HasSubstr("3 turns"));
  const auto stored =
      recordings::find_calibration(file("kept"), made.recording.straps[0].device_id);
  ASSERT_TRUE(stored && *stored);
  const auto& gyr = (*stored)->calibration.values.gyr;
  for (Eigen::Index k = 0; k < 3; ++k) {
    EXPECT_NEAR(gyr.gain(k, k) * made.straps[0].gyr_gain(k, k), 1.0, 4.0 * gyr.gain_u(k, k));
  }
}

TEST_F(CalibrateLive, TooFewPosesKeepTheRecordingAndNoCalibration) {
  const auto made = desk(4);
  const auto result = calibrate();
  EXPECT_EQ(result.status, cli::kFailed);
  EXPECT_THAT(result.err, HasSubstr("still in only 4 different poses, 6 are needed"));
  EXPECT_TRUE(fs::exists(file("desk_live.h5")));
  EXPECT_FALSE(fs::exists(file("kept")));
}

}  // namespace
}  // namespace strapline
