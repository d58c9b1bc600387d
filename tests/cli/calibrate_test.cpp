#include <algorithm>
#include <cmath>
#include <filesystem>
#include <random>

#include <Eigen/Geometry>
#include <gmock/gmock.h>

#include "strapline/recordings/calibration_store.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;

constexpr std::uint64_t kDevice = 0x5354000000000abcULL;
const Eigen::Vector3d kGain(1.02, 0.98, 1.01);       // of the made-up part
const Eigen::Vector3d kOffset(0.15, -0.20, 0.10);    // m/s²
const Eigen::Vector3d kGyrOffset(0.02, -0.01, 0.0);  // rad/s

class Calibrate : public CommandTest {
 protected:
  Calibrate() {
    description_.client = "calibration";
    description_.movement = "free";
    description_.started_utc = "2026-11-20T17:30:00Z";
  }

  /// A strap held for three seconds in each of `poses` ways, shaken in between.
  [[nodiscard]] recordings::Recording desk(int poses, std::uint64_t device = kDevice) const {
    recordings::StrapRecord strap;
    strap.device_id = device;
    strap.rate_hz = 100.0;
    strap.tick_hz = 1e6;
    strap.acc_scale = 0.0005;
    strap.gyr_scale = 0.0001;
    const int n = poses * 350;
    strap.counts.resize(6, n);
    strap.t.resize(n);
    std::mt19937 random(7);
    std::normal_distribution<double> noise(0.0, 1.0);
    for (int i = 0; i < n; ++i) {
      const bool still = i % 350 < 300;
      const Eigen::Vector3d up = 9.80665 * direction(i / 350);
      for (Eigen::Index k = 0; k < 3; ++k) {
        const double acc = kGain[k] * up[k] + kOffset[k] + (still ? 0.02 : 3.0) * noise(random);
        const double gyr = kGyrOffset[k] + (still ? 0.002 : 1.0) * noise(random);
        strap.counts(k, i) = static_cast<std::int32_t>(std::lround(acc / strap.acc_scale));
        strap.counts(k + 3, i) = static_cast<std::int32_t>(std::lround(gyr / strap.gyr_scale));
      }
      strap.t[i] = 0.01 * i;
      strap.tick.push_back(10000LL * i);
    }
    recordings::Recording recording;
    recording.description = description_;
    recording.straps.push_back(std::move(strap));
    return recording;
  }

  std::string write(const std::string& name, const recordings::Recording& recording) const {
    EXPECT_TRUE(recordings::write_recording(at(name), recording));
    return at(name);
  }
  [[nodiscard]] std::string kept() const { return at("kept/5354000000000abc.toml"); }

 private:
  static Eigen::Vector3d direction(int pose) {
    if (pose < 6) return (pose % 2 == 0 ? 1.0 : -1.0) * Eigen::Vector3d::Unit(pose / 2);
    const double a = 1.7 * pose;
    return Eigen::Vector3d(std::cos(a), std::sin(a), std::cos(2.3 * pose)).normalized();
  }
  recordings::SetDescription description_;
};

TEST_F(Calibrate, ARecordingIsCalibratedKeptListedAndApplied) {
  recordings::Recording recording = desk(12);
  const std::string file = write("desk.h5", recording);
  const Outcome made = strapline({"calibrate", file, "--folder", at("kept")});
  ASSERT_EQ(made.status, kDone) << made.err;
  EXPECT_THAT(made.out, HasSubstr("strap 5354000000000abc: calibrated 2026-11-20, 12 poses"));
  EXPECT_THAT(made.out, HasSubstr("kept in " + kept()));
  const Outcome listed = strapline({"calibrate", "--list", "--folder", at("kept")});
  EXPECT_THAT(listed.out, HasSubstr("strap 5354000000000abc: calibrated 2026-11-20"));
  EXPECT_EQ(listed.status, kDone);

  const auto stored = recordings::find_calibration(at("kept"), kDevice);
  ASSERT_TRUE(stored.has_value() && stored->has_value());
  const dsp::StrapCalibration& values = (*stored)->calibration.values;
  for (Eigen::Index k = 0; k < 3; ++k) {
    EXPECT_NEAR(values.acc.gain(k, k) * kGain[k], 1.0, 4.0 * values.acc.gain_u(k, k));
    EXPECT_NEAR(values.acc.offset[k], kOffset[k], 4.0 * values.acc.offset_u[k]);
    EXPECT_NEAR(values.gyr.offset[k], kGyrOffset[k], 4.0 * values.gyr.offset_u[k] + 1e-5);
  }

  // In a recording: written and read with it, counts untouched, applied in the series.
  recording.straps[0].calibration = (*stored)->calibration;
  write("set.h5", recording);
  const auto back = recordings::read_recording(at("set.h5"));
  ASSERT_TRUE(back.has_value()) << back.error().line();
  const recordings::StrapRecord& strap = back->straps[0];
  ASSERT_TRUE(strap.calibration.has_value());
  EXPECT_EQ(strap.calibration->made_utc, "2026-11-20T17:30:00Z");
  EXPECT_EQ(strap.calibration->values.acc.gain, values.acc.gain);
  EXPECT_EQ(strap.calibration->values.gyr.offset_u, values.gyr.offset_u);
  EXPECT_EQ(strap.counts, recording.straps[0].counts);
  const dsp::StrapSeries series = recordings::to_series(strap);
  for (const dsp::StillPose& pose : dsp::still_poses(series.data)) {
    EXPECT_NEAR(pose.acc_mean.norm(), 9.80665, 0.01);
    EXPECT_LT(pose.gyr_mean.norm(), 0.001);
  }
  EXPECT_LT(series.errors.gyr_bias_sd, strap.errors.gyr_bias_sd);
  EXPECT_LT(series.errors.acc_bias_sd, strap.errors.acc_bias_sd);

  EXPECT_THAT(strapline({"review", at("set.h5"), "--no-page"}).out,
              HasSubstr("other: calibrated 2026-11-20"));
  EXPECT_EQ(strapline({"review", at("set.h5"), "--json"}).json()["straps"][0]["calibrated_utc"],
            "2026-11-20T17:30:00Z");
  EXPECT_EQ(strapline({"review", file, "--json"}).json()["straps"][0]["calibrated_utc"], nullptr);
}

TEST_F(Calibrate, WhatCannotBeKeptOrMadeIsOneLine) {
  const std::string few = write("few.h5", desk(4));
  expect_refused(
      strapline({"calibrate", few, "--folder", at("kept")}), kFailed,
      "strapline: " + few +
          ": other: still in only 4 different poses, 6 are needed; lay the strap on each "
          "of its sides and hold still for two seconds each time");
  EXPECT_FALSE(std::filesystem::exists(at("kept")));
  const Outcome nameless =
      strapline({"calibrate", write("nameless.h5", desk(12, 0)), "--folder", at("kept")});
  EXPECT_EQ(nameless.status, kFailed);
  EXPECT_THAT(nameless.err, HasSubstr("the strap has no device id to keep a calibration under"));
  expect_refused(strapline({"calibrate"}), kFailed,
                 "strapline: calibrate: give a recording, or --strap ADDRESS, or --list");
}

TEST_F(Calibrate, DryRunKeepsNothing) {
  const std::string file = write("desk.h5", desk(12));
  const Outcome made = strapline({"calibrate", file, "--folder", at("kept"), "--dry-run"});
  EXPECT_EQ(made.status, kDone) << made.err;
  EXPECT_THAT(made.out, HasSubstr("12 poses"));
  EXPECT_FALSE(std::filesystem::exists(at("kept")));
}

// Every way in which a kept file may be broken is one line that names it, and never a crash.
TEST_F(Calibrate, ABrokenFileIsNamed) {
  const std::string file = write("desk.h5", desk(12));
  ASSERT_EQ(strapline({"calibrate", file, "--folder", at("kept")}).status, kDone);
  const std::string good = bytes_of("kept/5354000000000abc.toml");
  const auto failure_with = [&](const std::string& text) {
    put("kept/5354000000000abc.toml", text);
    const Outcome listed = strapline({"calibrate", "--list", "--folder", at("kept")});
    EXPECT_EQ(listed.status, kFailed);
    EXPECT_EQ(std::count(listed.err.begin(), listed.err.end(), '\n'), 1) << listed.err;
    EXPECT_THAT(listed.err, HasSubstr(kept()));
    return listed.err;
  };
  const auto swapped = [&](const std::string& from, const std::string& to) {
    std::string text = good;
    text.replace(text.find(from), from.size(), to);
    return text;
  };
  EXPECT_THAT(failure_with("gain = ["), HasSubstr("line 1"));
  EXPECT_THAT(failure_with(""), HasSubstr("version is missing"));
  EXPECT_THAT(failure_with(swapped("version = 1", "version = 2")),
              HasSubstr("of version 2, newer than this program reads (1)"));
  EXPECT_THAT(failure_with(swapped("0abc\"", "0abd\"")), HasSubstr("of device 5354000000000abd"));
  EXPECT_THAT(failure_with(swapped("gain = [[", "gain = [[9")), HasSubstr("impossible"));
  EXPECT_THAT(failure_with(swapped("[gyr]", "[other]")), HasSubstr("gyr is missing"));
  for (std::size_t cut = 0; cut + 40 < good.size(); cut += 37) {
    put("kept/5354000000000abc.toml", good.substr(0, cut));
    EXPECT_FALSE(recordings::find_calibration(at("kept"), kDevice).has_value()) << cut;
  }
}

}  // namespace
}  // namespace strapline::cli::testing
