#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/synthetic/synthesize.hpp"

#include "live/replay_script.hpp"

namespace strapline::cli {
namespace {

/// As an import makes it: decimal scales, counts beyond 16 bits, no device.
recordings::Recording imported(double rate_hz, double tick_hz, double acc_scale) {
  recordings::StrapRecord strap;
  strap.placement = {dsp::Segment::other, dsp::Side::middle};
  strap.rate_hz = rate_hz;
  strap.tick_hz = tick_hz;
  strap.acc_scale = acc_scale;
  strap.gyr_scale = 1e-7;
  const Eigen::Index n = 50;
  strap.counts.resize(6, n);
  strap.t.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double phase = 0.3 * static_cast<double>(i);
    for (Eigen::Index axis = 0; axis < 6; ++axis) {
      const double value = (axis < 3 ? 20.0 : 5.0) * std::sin(phase + static_cast<double>(axis));
      const double scale = axis < 3 ? strap.acc_scale : strap.gyr_scale;
      strap.counts(axis, i) = static_cast<std::int32_t>(std::lround(value / scale));
    }
    strap.t[i] = 2.0 + static_cast<double>(i) / rate_hz;
    strap.tick.push_back(std::llround(strap.t[i] * tick_hz));
  }
  strap.clock = {0.0, 1.0 / tick_hz, 0.0, 0.0};
  recordings::Recording recording;
  recording.straps = {strap, strap};
  return recording;
}

TEST(ReplayScript, PlaysCountsOf16BitsAsTheyAre) {
  recordings::synthetic::SquatSetParams params;
  params.reps = 1;
  const auto made = recordings::synthetic::synthesize(params);
  ASSERT_TRUE(made) << made.error().line();
  const ReplayScript replay = to_script(*made);
  EXPECT_TRUE(replay.notes.empty());
  ASSERT_EQ(replay.straps.size(), made->straps.size());
  for (std::size_t s = 0; s < replay.straps.size(); ++s) {
    const auto& script = replay.straps[s];
    const auto& strap = made->straps[s];
    EXPECT_EQ(script.name, dsp::to_string(strap.placement));
    EXPECT_EQ(script.identity.device_id, strap.device_id);
    EXPECT_EQ(script.ticks, strap.tick);
    EXPECT_NEAR(1e-12 * static_cast<double>(script.identity.acc_scale_pico), strap.acc_scale,
                1e-12);
    ASSERT_EQ(script.counts.size(), static_cast<std::size_t>(strap.counts.cols()));
    for (std::size_t i = 0; i < script.counts.size(); ++i) {
      for (std::size_t axis = 0; axis < 6; ++axis) {
        ASSERT_EQ(script.counts[i][axis],
                  strap.counts(static_cast<Eigen::Index>(axis), static_cast<Eigen::Index>(i)));
      }
    }
  }
}

TEST(ReplayScript, RescalesWhat16BitsDoNotHoldAndSaysSo) {
  const auto recording = imported(100.0, 1e6, 1e-6);
  const ReplayScript replay = to_script(recording);
  ASSERT_EQ(replay.straps.size(), 2U);
  EXPECT_EQ(replay.straps[1].name, "other_2");
  EXPECT_NE(replay.straps[0].identity.device_id, replay.straps[1].identity.device_id);
  ASSERT_EQ(replay.notes.size(), 2U);
  EXPECT_THAT(replay.notes[0], ::testing::HasSubstr("rescaled to 16-bit counts"));
  const auto& script = replay.straps[0];
  const double acc = 1e-12 * static_cast<double>(script.identity.acc_scale_pico);
  const double gyr = 1e-12 * static_cast<double>(script.identity.gyr_scale_pico);
  EXPECT_LT(acc, 1.01 * 20.0 / 32767.0) << "no coarser than the largest reading asks for";
  for (std::size_t i = 0; i < script.counts.size(); ++i) {
    for (std::size_t axis = 0; axis < 6; ++axis) {
      const double scale = axis < 3 ? acc : gyr;
      const double own = axis < 3 ? 1e-6 : 1e-7;
      const double truth = own * recording.straps[0].counts(static_cast<Eigen::Index>(axis),
                                                            static_cast<Eigen::Index>(i));
      ASSERT_NEAR(scale * script.counts[i][axis], truth, 0.5001 * scale);
    }
  }
}

TEST(ReplayScript, PutsTimesOnAClockThatAStrapCanHave) {
  // Imported with a rate and no times: one tick per reading, and no whole number of them a second.
  const auto recording = imported(127.9, 127.9, 1e-3);
  const ReplayScript replay = to_script(recording);
  const auto& script = replay.straps[0];
  EXPECT_EQ(script.identity.tick_hz, 1'000'000U);
  EXPECT_THAT(replay.notes, ::testing::Contains(::testing::HasSubstr("clock of 1 MHz")));
  for (std::size_t i = 0; i < script.ticks.size(); ++i) {
    const double t =
        script.offset_s + static_cast<double>(script.ticks[i]) * script.seconds_per_tick;
    ASSERT_NEAR(t, recording.straps[0].t[static_cast<Eigen::Index>(i)], 1e-6);
  }
}

}  // namespace
}  // namespace strapline::cli
