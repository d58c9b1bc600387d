#include "strapline/dsp/stuck_readings.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/dsp/time_grid.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using testing::bends;
using testing::SwingingStrap;

constexpr double kRate = 100.0;

/// Eight bends of 3 s from 5 s on, then rest up to 45 s.
InertialSeries eight_bends() {
  SwingingStrap strap;
  strap.swing = [](double t) { return bends(t, 5.0, 8, 3.0, 0.5, 1.2); };
  strap.q_segment_from_sensor = exp_rotation(Eigen::Vector3d(0.4, 0.9, -0.3));
  return strap.record(45.0, kRate);
}

/// As a part or link that repeats its reading of `from_s` up to `to_s`.
void freeze(InertialSeries& series, double from_s, double to_s) {
  const Index at = nearest_index(series.t, from_s);
  for (Index i = at; i <= nearest_index(series.t, to_s); ++i) {
    series.gyr.col(i) = series.gyr.col(at);
    series.acc.col(i) = series.acc.col(at);
  }
}

TEST(StuckReadings, ASensorAtRestMayRepeatItself) {
  InertialSeries series = eight_bends();  // exactly still before and after
  EXPECT_TRUE(remove_stuck_readings(series).empty());
  EXPECT_EQ(series.size(), 4501);
}

TEST(StuckReadings, AReadingThatTurnsAndRepeatsIsLeftOutAfterTheFirst) {
  InertialSeries series = eight_bends();
  freeze(series, 6.0, 7.0);
  const auto stuck = remove_stuck_readings(series);
  ASSERT_EQ(stuck.size(), 1U);
  EXPECT_NEAR(stuck[0].from_s, 6.0, 1e-9);
  EXPECT_NEAR(stuck[0].to_s, 7.0, 1e-9);
  EXPECT_EQ(series.size(), 4501 - 100);
  const Index after = std::lower_bound(series.t.begin(), series.t.end(), 7.005) - series.t.begin();
  EXPECT_NEAR(series.t[after - 1], 6.0, 1e-9);
  EXPECT_EQ(series.flags[static_cast<std::size_t>(after)], kAfterGap);
  EXPECT_EQ(std::count(series.flags.begin(), series.flags.end(), kSampleGood), series.size() - 1);
}

TEST(StuckReadings, AFewEqualReadingsAreChance) {
  InertialSeries series = eight_bends();
  freeze(series, 6.0, 6.08);
  EXPECT_TRUE(remove_stuck_readings(series).empty());
}

TEST(StuckReadings, SlowPartsNeedFiveRepeats) {
  StuckDetector detector;
  const Eigen::Vector3d gyr(1.0, 0.0, 0.0), acc(0.0, 9.81, 0.0);
  for (int i = 0; i < 5; ++i) EXPECT_FALSE(detector.update(0.04 * i, gyr, acc));
  EXPECT_TRUE(detector.update(0.2, gyr, acc));
  EXPECT_DOUBLE_EQ(detector.since_s(), 0.0);
}

TEST(StuckReadings, AStuckSensorCountsNoReps) {
  // Frozen while it turns, its up would go round and round: so many like cycles.
  SetInput input;
  InertialSeries series = eight_bends();
  freeze(series, 20.0, 45.0);
  StrapSeries strap{{Segment::other, Side::middle}, series, {}, {}};
  input.movement = {"free", RangeAngle::strongest_turn, FirstPhase::lowering, {}, {}, 0.14};
  input.straps = {strap};
  input.straps[0].stuck = remove_stuck_readings(input.straps[0].data);
  const auto left_out = analyse_set(input);
  ASSERT_TRUE(left_out);
  EXPECT_GE(left_out->full_reps(), 4);
  EXPECT_LE(left_out->full_reps(), 5);
  EXPECT_LE(left_out->reps.back().end_s, 20.5);
  const auto& notes = left_out->notes;
  EXPECT_TRUE(std::any_of(notes.begin(), notes.end(), [](const std::string& note) {
    return note.find("repeats one reading from 20.0 s to 45.0 s") != std::string::npos;
  }));
}

}  // namespace
}  // namespace strapline::dsp
