#include "strapline/dsp/repetition.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "free_set.hpp"
#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using testing::bends;
using testing::kDegree;
using testing::Swing;
using testing::SwingingStrap;

SwingingStrap strap_that(std::function<Swing(double)> swing) {
  SwingingStrap strap;
  strap.swing = std::move(swing);
  strap.q_segment_from_sensor = exp_rotation(Eigen::Vector3d(0.4, 0.9, -0.3));
  return strap;
}

RepetitionSet repetitions_of(const SwingingStrap& strap, double seconds) {
  const InertialSeries series = strap.record(seconds, 100.0);
  const Eigen::VectorXd t = uniform_times(0.0, seconds, 100.0);
  const GridMotion motion = on_grid(smoothed_orientation(series), t);
  return find_repetitions(motion_features(motion, t, {0.0, seconds}));
}

SetAnalysis analysed(const SwingingStrap& strap, double seconds) {
  const auto result = analyse_set(testing::free_set(strap, seconds));
  return result ? *result : SetAnalysis{};
}

/// Steps: a small swing, once a second.
Swing walking(double t, double from_s, int steps) {
  return bends(t, from_s, steps, 1.0, 0.0, 0.15);
}

TEST(FindRepetitions, ARepWithTwoPeaksIsOne) {
  // ½(1−cos wt) + 0.35(1−cos 2wt): peaks at both quarters, a dip between them.
  const auto swing = [](double t) {
    const Swing one = bends(t, 5.0, 8, 4.0, 0.0, 1.0);
    const Swing two = bends(t, 5.0, 16, 2.0, 0.0, 0.7);
    return one + two;
  };
  EXPECT_EQ(repetitions_of(strap_that(swing), 45.0).reps.size(), 8U);
  EXPECT_EQ(analysed(strap_that(swing), 45.0).full_reps(), 8);
}

TEST(FindRepetitions, TheLastRepMayBeAGrind) {
  const auto swing = [](double t) {
    return bends(t, 5.0, 7, 3.0, 0.5, 1.2) + bends(t, 30.0, 1, 5.5, 0.0, 1.2);
  };
  const RepetitionSet set = repetitions_of(strap_that(swing), 42.0);
  ASSERT_EQ(set.reps.size(), 8U);
  EXPECT_NEAR(set.reps.back().from_s, 30.0, 1.0);
  EXPECT_NEAR(set.reps.back().to_s, 35.5, 1.0);
}

TEST(FindRepetitions, WalkingBeforeAndAfterIsNoRep) {
  const auto swing = [](double t) {
    return walking(t, 1.0, 10) + bends(t, 15.0, 6, 3.0, 0.6, 1.0) + walking(t, 40.0, 10);
  };
  const RepetitionSet set = repetitions_of(strap_that(swing), 52.0);
  ASSERT_EQ(set.reps.size(), 6U);
  EXPECT_GT(set.reps.front().from_s, 13.0);
  EXPECT_LT(set.reps.back().to_s, 38.0);
}

TEST(FindRepetitions, WiderMotionsAtNoSteadyPaceAreNoSet) {
  // Eight small reps; then the arm goes up and down another way, further and at every pace.
  const std::vector<double> paces{6.0, 2.2, 5.5, 2.0, 6.5};
  const auto irregular = [paces](double t, double range) {
    Swing sum = bends(t, 0.0, 0, 1.0, 0.0, range);
    double from_s = 39.0;
    for (const double seconds : paces) {
      sum = sum + bends(t, from_s, 1, seconds, 0.0, range);
      from_s += seconds + 0.5;
    }
    return sum;
  };
  SwingingStrap strap = strap_that(
      [irregular](double t) { return bends(t, 5.0, 8, 3.0, 0.5, 0.5) + irregular(t, 0.44); });
  strap.roll = [irregular](double t) { return irregular(t, 1.1); };
  const RepetitionSet set = repetitions_of(strap, 69.0);
  ASSERT_EQ(set.reps.size(), 8U);
  EXPECT_LT(set.reps.back().to_s, 35.0);
}

TEST(FindRepetitions, TwoRepsAfterALongPauseBelongToTheSet) {
  const auto swing = [](double t) {
    return bends(t, 5.0, 5, 3.0, 0.5, 1.2) + bends(t, 45.0, 2, 3.2, 0.5, 1.15);
  };
  const SetAnalysis set = analysed(strap_that(swing), 60.0);
  EXPECT_EQ(set.full_reps(), 7);
  EXPECT_EQ(set.reps.size(), 7U);
}

TEST(FindRepetitions, WhatGoesAnotherWayAfterALongPauseDoesNot) {
  // The strap turns about the limb, too: a weight is put down and the arm shaken, twice.
  SwingingStrap strap = strap_that(
      [](double t) { return bends(t, 5.0, 6, 3.0, 0.5, 1.2) + bends(t, 45.0, 2, 3.2, 0.5, 1.0); });
  strap.roll = [](double t) { return bends(t, 45.0, 2, 3.2, 0.5, 1.0); };
  EXPECT_EQ(analysed(strap, 60.0).reps.size(), 6U);
}

TEST(FindRepetitions, StepsBesideTheSetAreNoPartReps) {
  // Half as wide as a part rep may be, three times as fast as the reps, and right after them.
  const auto swing = [](double t) {
    return bends(t, 5.0, 6, 3.6, 0.5, 1.0) + bends(t, 32.0, 6, 1.2, 0.0, 0.3);
  };
  const SetAnalysis set = analysed(strap_that(swing), 48.0);
  EXPECT_EQ(set.full_reps(), 6);
  EXPECT_EQ(set.reps.size(), 6U);
}

TEST(FindRepetitions, APartRepMayEndTheSet) {
  // Seen by the strap, a shallow rep goes elsewhere than the mean of a deep one.
  const auto swing = [](double t) {
    return bends(t, 5.0, 5, 3.0, 0.5, 1.7) + bends(t, 22.5, 1, 3.0, 0.5, 0.6);
  };
  const SetAnalysis set = analysed(strap_that(swing), 40.0);
  EXPECT_EQ(set.full_reps(), 5);
  ASSERT_EQ(set.reps.size(), 6U);
  EXPECT_TRUE(set.reps[5].part);
}

TEST(FindRepetitions, FastAndSmallRepsBelongToTheSet) {
  const auto swing = [](double t) {
    return bends(t, 4.0, 6, 5.0, 1.0, 1.0) + bends(t, 60.0, 6, 2.0, 0.6, 1.0) +
           bends(t, 95.0, 6, 5.0, 1.0, 0.4);
  };
  EXPECT_EQ(repetitions_of(strap_that(swing), 140.0).reps.size(), 18U);
}

TEST(FindRepetitions, APartRepIsShownAndNotCounted) {
  const auto swing = [](double t) {
    return bends(t, 5.0, 6, 3.0, 0.5, 1.2) + bends(t, 26.0, 2, 3.0, 0.5, 0.42);
  };
  const SetAnalysis set = analysed(strap_that(swing), 40.0);
  EXPECT_EQ(set.full_reps(), 6);
  ASSERT_EQ(set.reps.size(), 8U);
  EXPECT_TRUE(set.reps[6].part && set.reps[7].part);
}

TEST(FindRepetitions, ASetThatEndsWithTheWeightUpCountsItsLastLift) {
  const auto swing = [](double t) {
    const double top_s = 29.5 + 1.5;  // the eighth rep's turn: it stays there
    return t < top_s ? bends(t, 5.0, 8, 3.0, 0.5, 1.2) : Swing{1.2, 0.0, 0.0};
  };
  EXPECT_EQ(repetitions_of(strap_that(swing), 38.0).reps.size(), 8U);
}

TEST(FindRepetitions, ASetThatBeginsWithTheWeightUpCountsItsLifts) {
  // Lowered first, lifted last: eight of each.
  const auto swing = [](double t) {
    const Swing s = bends(t, 10.0, 8, 3.0, 0.5, 1.2);
    return Swing{1.2 - s.angle, -s.rate, -s.acceleration};
  };
  EXPECT_EQ(repetitions_of(strap_that(swing), 50.0).reps.size(), 8U);
}

/// Rolls back from `angle` at once, within 0.4 s from `start_s` on.
Swing rolls_back(double t, double start_s, double angle) {
  const double w = std::numbers::pi / 0.4, s = std::clamp(t - start_s, 0.0, 0.4);
  const bool moves = s > 0.0 && s < 0.4;
  return {0.5 * angle * (1.0 + std::cos(w * s)), moves ? -0.5 * angle * w * std::sin(w * s) : 0.0,
          0.0};
}

TEST(FindRepetitions, ARepThatGoesAnotherWayAsFarIsNoPartRep) {
  // The fourth turns the strap by 0.57 rad, but about the usual axis by less than half of the
  // others.
  const auto swing = [](double t) {
    return bends(t, 5.0, 3, 3.0, 0.5, 1.0) + bends(t, 15.5, 1, 3.0, 0.5, 0.46) +
           bends(t, 19.0, 3, 3.0, 0.5, 1.0);
  };
  SwingingStrap strap = strap_that(swing);
  EXPECT_EQ(analysed(strap, 36.0).full_reps(), 6);
  strap.roll = [](double t) { return bends(t, 15.5, 1, 3.0, 0.5, 0.35); };
  const SetAnalysis set = analysed(strap, 36.0);
  EXPECT_EQ(set.reps.size(), 7U);
  EXPECT_EQ(set.full_reps(), 7);
}

TEST(FindRepetitions, ASetThatWandersKeepsItsFirstReps) {
  // The strap rolls about the limb between the first reps, by less each time: the first looks like
  // the second, not like the ninth.
  SwingingStrap strap = strap_that([](double t) { return bends(t, 5.0, 9, 3.0, 0.5, 1.2); });
  strap.roll = [](double t) {
    return rolls_back(t, 8.05, 35.0 * kDegree) + rolls_back(t, 11.55, 20.0 * kDegree);
  };
  const RepetitionSet set = repetitions_of(strap, 40.0);
  ASSERT_EQ(set.reps.size(), 9U);
  EXPECT_NEAR(set.reps.front().from_s, 5.0, 1.0);
}

TEST(FindRepetitions, NothingThatRepeatsIsNoSet) {
  EXPECT_TRUE(repetitions_of(strap_that([](double) { return Swing{}; }), 30.0).reps.empty());
  // One slow turn there and back, once.
  const auto once = [](double t) { return bends(t, 10.0, 1, 8.0, 0.0, 1.0); };
  EXPECT_TRUE(repetitions_of(strap_that(once), 30.0).reps.empty());
  EXPECT_TRUE(analysed(strap_that(once), 30.0).reps.empty());
}

TEST(FindRepetitions, TooShortARecordingIsNoSet) {
  EXPECT_TRUE(repetitions_of(strap_that([](double) { return Swing{}; }), 0.5).reps.empty());
}

}  // namespace
}  // namespace strapline::dsp
