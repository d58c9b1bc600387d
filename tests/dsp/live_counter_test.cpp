#include "strapline/dsp/live_counter.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "strapline/dsp/live_set_counter.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Vector3d;
using testing::kDegree;
using testing::Swing;
using testing::SwingingStrap;

/// Four seconds of standing, then `count` bends.
SwingingStrap bending(int count, double range, double pause = 1.0) {
  SwingingStrap strap;
  strap.swing = [=](double t) { return testing::bends(t, 4.0, count, 3.0, pause, range); };
  strap.q_segment_from_sensor = exp_rotation(Vector3d(0.2, 1.1, -0.1));
  return strap;
}

std::vector<LiveRep> run(LiveCounter& counter, const InertialSeries& data, Eigen::Index from = 0,
                         Eigen::Index to = -1) {
  std::vector<LiveRep> reps;
  for (Eigen::Index i = from; i < (to < 0 ? data.size() : to); ++i) {
    const auto rep = counter.update(data.t[i], data.gyr.col(i), data.acc.col(i));
    if (rep) reps.push_back(*rep);
  }
  return reps;
}

TEST(LiveCounter, TellsStartTurnEndAndRangeOfEveryRep) {
  LiveCounter counter;
  const auto reps = run(counter, bending(5, 100.0 * kDegree).record(26.0, 100.0));
  ASSERT_EQ(reps.size(), 5U);
  EXPECT_EQ(counter.full_reps(), 5);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const double start = 4.0 + 4.0 * static_cast<double>(k);
    EXPECT_NEAR(reps[k].start_s, start, 0.1);
    EXPECT_NEAR(reps[k].turn_s, start + 1.5, 0.1);
    EXPECT_NEAR(reps[k].turn_in_s, start + 1.5, 0.1);
    EXPECT_NEAR(reps[k].turn_out_s, start + 1.5, 0.1);
    EXPECT_NEAR(reps[k].end_s, start + 3.0, 0.1);
    EXPECT_NEAR(reps[k].range / kDegree, 100.0, 3.0);
    EXPECT_FALSE(reps[k].part);
  }
}

TEST(LiveCounter, PartRepsAreShownAndNotCounted) {
  SwingingStrap strap = bending(3, 100.0 * kDegree);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 3, 3.0, 1.0, 100.0 * kDegree) +
           testing::bends(t, 17.0, 2, 2.0, 1.0, 35.0 * kDegree);
  };
  LiveCounter counter;
  const auto reps = run(counter, strap.record(25.0, 100.0));
  EXPECT_EQ(counter.full_reps(), 3);
  EXPECT_EQ(counter.part_reps(), 2);
  ASSERT_EQ(reps.size(), 5U);
  EXPECT_TRUE(reps[3].part && reps[4].part);
}

TEST(LiveCounter, FirstExcursionsTurnOutToBePartReps) {
  SwingingStrap strap = bending(3, 100.0 * kDegree);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 2.0, 1.0, 35.0 * kDegree) +
           testing::bends(t, 11.0, 4, 3.0, 1.0, 100.0 * kDegree);
  };
  LiveCounter counter;
  const auto reps = run(counter, strap.record(29.0, 100.0));
  ASSERT_EQ(reps.size(), 6U);
  EXPECT_FALSE(reps[0].part);  // nothing else was known then
  EXPECT_EQ(counter.full_reps(), 4);
  EXPECT_EQ(counter.part_reps(), 2);
}

TEST(LiveCounter, ACorrectionIsTold) {
  SwingingStrap strap = bending(3, 100.0 * kDegree);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 2.0, 1.0, 35.0 * kDegree) +
           testing::bends(t, 11.0, 4, 3.0, 1.0, 100.0 * kDegree);
  };
  LiveCounter counter;
  run(counter, strap.record(29.0, 100.0));
  std::vector<std::size_t> told, corrected;
  for (const LiveEvent& event : counter.take_events()) {
    (event.kind == LiveEvent::Kind::rep ? told : corrected).push_back(event.number);
    if (event.kind == LiveEvent::Kind::correction) {
      EXPECT_TRUE(event.rep.part);
    }
  }
  EXPECT_EQ(told, (std::vector<std::size_t>{0, 1, 2, 3, 4, 5}));  // each once
  EXPECT_EQ(corrected, (std::vector<std::size_t>{0, 1}));
  EXPECT_TRUE(counter.take_events().empty());
}

// Time is the data's own: when the sample that told the rep was taken.
TEST(LiveCounter, ARepIsToldWithin150MillisecondsOfItsEnd) {
  std::mt19937 random(8);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  std::vector<double> late;
  for (int set = 0; set < 10; ++set) {
    const double period = 1.5 + 3.0 * share(random);
    const double pause = 0.1 + share(random);
    SwingingStrap strap = bending(1, 0.0);
    strap.swing = [=](double t) {
      return testing::bends(t, 4.0, 6, period, pause, 90.0 * kDegree);
    };
    const InertialSeries data = strap.record(6.0 + 6.0 * (period + pause), 104.0);
    LiveCounter counter;
    int told = 0;
    for (Eigen::Index i = 0; i < data.size(); ++i) {
      if (!counter.update(data.t[i], data.gyr.col(i), data.acc.col(i))) continue;
      late.push_back(data.t[i] - (4.0 + told * (period + pause) + period));
      ++told;
    }
    EXPECT_EQ(told, 6);
  }
  std::sort(late.begin(), late.end());
  EXPECT_LT(std::abs(late[late.size() / 2]), 0.15);
  EXPECT_LT(late.back(), 0.3);
}

TEST(LiveCounter, SwayIsNoRep) {
  LiveCounter counter;
  EXPECT_TRUE(run(counter, bending(5, 10.0 * kDegree).record(26.0, 100.0)).empty());
}

TEST(LiveCounter, RepsWithoutStandingUpInBetweenAreCountedOnce) {
  // 100° down, then between 35° and 100°, then up: at 35° the rep counts as done once it turns.
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) {
    const double w = 2.0 * std::numbers::pi / 3.0;
    const double turns = 4.0;
    if (t < 4.0 || t > 4.0 + 3.0 * turns) return Swing{0.0, 0.0, 0.0};
    // Height of the excursion's foot: 0 at both ends, 35° in between, smooth (sin²).
    const double v = std::numbers::pi / (3.0 * turns);
    const double s = t - 4.0;
    const double b = 35.0 * kDegree;
    const double a = 0.5 * 65.0 * kDegree;
    const Swing foot{b * std::pow(std::sin(v * s), 2), b * v * std::sin(2 * v * s),
                     2 * b * v * v * std::cos(2 * v * s)};
    return foot +
           Swing{a * (1 - std::cos(w * s)), a * w * std::sin(w * s), a * w * w * std::cos(w * s)};
  };
  LiveCounter counter;
  run(counter, strap.record(20.0, 100.0));
  EXPECT_EQ(counter.full_reps(), 4);
}

TEST(LiveCounter, SittingDownForLongIsNoRep) {
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) { return testing::bends(t, 4.0, 1, 60.0, 0.0, 90.0 * kDegree); };
  LiveCounter counter;
  run(counter, strap.record(70.0, 100.0));
  EXPECT_EQ(counter.full_reps() + counter.part_reps(), 0);
}

TEST(LiveCounter, TheSetBeginsAtZero) {
  const auto data = bending(5, 100.0 * kDegree).record(26.0, 100.0);
  LiveCounter counter;
  run(counter, data, 0, 1150);  // 11.5 s: two reps are over
  EXPECT_EQ(counter.full_reps(), 2);
  counter.begin_set();
  EXPECT_EQ(counter.full_reps(), 0);
  run(counter, data, 1150);
  EXPECT_EQ(counter.full_reps(), 3);
}

TEST(LiveCounter, GoesOnFromASavedState) {
  const auto data = bending(4, 80.0 * kDegree).record(22.0, 100.0);
  LiveCounter whole;
  const auto expected = run(whole, data);
  LiveCounter first;
  auto reps = run(first, data, 0, 900);
  LiveCounter second;
  second.restore(first.state());
  for (const LiveRep& rep : run(second, data, 900)) reps.push_back(rep);
  ASSERT_EQ(reps.size(), expected.size());
  for (std::size_t k = 0; k < reps.size(); ++k) {
    EXPECT_EQ(reps[k].start_s, expected[k].start_s);
    EXPECT_EQ(reps[k].end_s, expected[k].end_s);
    EXPECT_EQ(reps[k].range, expected[k].range);
  }
}

// Two ways to the same count: this one while it happens, the other after the set.
TEST(LiveCounter, AgreesWithTheAnalysisAfterTheSet) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int run_number = 0; run_number < 12; ++run_number) {
    SCOPED_TRACE(run_number);
    const int count = 3 + static_cast<int>(6.0 * share(random));
    const double period = 1.5 + 3.0 * share(random);
    const double pause = 0.2 + 2.0 * share(random);
    const double range = (50.0 + 60.0 * share(random)) * kDegree;
    SwingingStrap strap = bending(count, range);
    strap.swing = [=](double t) { return testing::bends(t, 4.0, count, period, pause, range); };
    strap.gyr_bias = Vector3d(0.01, -0.01, 0.005);
    const double end = 6.0 + count * (period + pause);
    SetInput input;
    input.straps = {{{Segment::thigh, Side::left}, strap.record(end, 104.0), {}}};
    input.parts.still = Interval{0.5, 3.5};
    input.parts.set = Interval{3.5, end};
    input.movement.required = {Segment::thigh};
    input.movement.measures = {"range"};
    const auto after = analyse_set(input);
    ASSERT_TRUE(after) << after.error().line();
    LiveCounter counter;
    run(counter, input.straps.front().data);
    EXPECT_EQ(counter.full_reps(), after->full_reps());
    EXPECT_EQ(counter.full_reps(), count);
    const auto events = counter.take_events();
    ASSERT_EQ(events.size(), after->reps.size());
    for (std::size_t k = 0; k < events.size(); ++k) {
      EXPECT_NEAR(events[k].rep.start_s, after->reps[k].start_s, 0.15);
      EXPECT_NEAR(events[k].rep.turn_in_s, after->reps[k].turn_in_s, 0.15);
      EXPECT_NEAR(events[k].rep.turn_out_s, after->reps[k].turn_out_s, 0.15);
      EXPECT_NEAR(events[k].rep.end_s, after->reps[k].end_s, 0.15);
    }
  }
}

// Standing until 4 s, two shallow bends until 12 s, then the set; `from_s` each rep's start.
struct Played {
  std::vector<LiveEvent> events;
  std::vector<double> told_s;
  int full = 0;
};

Played played(const InertialSeries& data, double set_to_s, const SensorErrors& errors = {}) {
  LiveSetCounter counter({{Segment::thigh, Side::left}}, MovementSpec{}, {errors});
  const std::vector<std::pair<double, LivePart>> parts = {{0.5, LivePart::still},
                                                          {3.8, LivePart::align},
                                                          {12.0, LivePart::set},
                                                          {set_to_s, LivePart::still_after}};
  std::size_t next = 0;
  Played out;
  for (Eigen::Index i = 0; i < data.size(); ++i) {
    while (next < parts.size() && data.t[i] >= parts[next].first) {
      counter.begin_part(parts[next++].second);
    }
    counter.update(0, data.t[i], data.gyr.col(i), data.acc.col(i));
    for (const LiveEvent& event : counter.take_events().events) {
      if (next < 3) continue;
      out.events.push_back(event);
      out.told_s.push_back(data.t[i]);
    }
  }
  out.full = counter.full_reps();
  return out;
}

TEST(LiveSetCounter, OnceAlignedTellsEachRepOnceWithItsBorders) {
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 3.0, 0.5, 30.0 * kDegree) +
           testing::bends(t, 13.0, 5, 2.5, 1.0, 95.0 * kDegree);
  };
  const Played set = played(strap.record(36.0, 104.0), 32.0);
  EXPECT_EQ(set.full, 5);
  ASSERT_EQ(set.events.size(), 5U);
  for (std::size_t k = 0; k < 5; ++k) {
    const LiveEvent& event = set.events[k];
    const double start = 13.0 + 3.5 * static_cast<double>(k);
    EXPECT_EQ(event.kind, LiveEvent::Kind::rep);
    EXPECT_EQ(event.number, k);
    EXPECT_NEAR(event.rep.start_s, start, 0.1);
    EXPECT_NEAR(event.rep.turn_in_s, start + 1.25, 0.1);
    EXPECT_NEAR(event.rep.end_s, start + 2.5, 0.1);
    EXPECT_NEAR(event.rep.range / kDegree, 95.0, 3.0);
    EXPECT_LT(set.told_s[k] - event.rep.end_s, 0.2);
  }
}

TEST(LiveSetCounter, CountsWithAGyroscopeThatIsStatedToBeFarOff) {
  SwingingStrap strap = bending(1, 0.0);
  strap.gyr_bias = Eigen::Vector3d(0.25, -0.2, 0.15);  // rad/s: up to 14 °/s
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 3.0, 0.5, 30.0 * kDegree) +
           testing::bends(t, 13.0, 5, 2.5, 1.0, 95.0 * kDegree);
  };
  InertialSeries data = strap.record(36.0, 104.0);
  // A sensor that turns and repeats itself to the last digit would be taken for stuck.
  for (Eigen::Index i = 0; i < data.size(); i += 2) data.gyr.col(i).array() += 1e-4;
  SensorErrors errors;
  errors.gyr_bias_sd = 0.14;
  const Played set = played(data, 32.0, errors);
  EXPECT_EQ(set.full, 5);
  ASSERT_EQ(set.events.size(), 5U);
  for (const LiveEvent& event : set.events) EXPECT_NEAR(event.rep.range / kDegree, 95.0, 5.0);
}

TEST(LiveSetCounter, WhatTurnsOutToBeAPartRepIsCorrected) {
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 3.0, 0.5, 30.0 * kDegree) +
           testing::bends(t, 13.0, 1, 2.0, 1.0, 46.0 * kDegree) +
           testing::bends(t, 17.0, 4, 2.5, 1.0, 100.0 * kDegree);
  };
  const Played set = played(strap.record(36.0, 104.0), 33.0);
  EXPECT_EQ(set.full, 4);
  std::vector<std::size_t> told;
  std::vector<LiveEvent> corrected;
  for (const LiveEvent& event : set.events) {
    if (event.kind == LiveEvent::Kind::rep) {
      told.push_back(event.number);
    } else {
      corrected.push_back(event);
    }
  }
  EXPECT_EQ(told, (std::vector<std::size_t>{0, 1, 2, 3, 4}));
  ASSERT_EQ(corrected.size(), 1U);
  EXPECT_EQ(corrected[0].number, 0U);
  EXPECT_TRUE(corrected[0].rep.part);
  EXPECT_FALSE(corrected[0].before.part);
}

TEST(LiveSetCounter, CountsNothingAfterTheSet) {
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) {
    return testing::bends(t, 4.0, 2, 3.0, 0.5, 30.0 * kDegree) +
           testing::bends(t, 13.0, 5, 2.5, 1.0, 95.0 * kDegree);
  };
  EXPECT_EQ(played(strap.record(36.0, 104.0), 20.2).full, 2);  // as the third begins
}

TEST(LiveSetCounter, WhatRepeatsSaysWhichExcursionsAreReps) {
  // Each rep dips at its turn, deep enough for two excursions.
  SwingingStrap strap = bending(1, 0.0);
  strap.swing = [](double t) {
    return testing::bends(t, 13.0, 6, 4.0, 0.0, 1.0) + testing::bends(t, 13.0, 12, 2.0, 0.0, 0.9);
  };
  const InertialSeries data = strap.record(45.0, 100.0);
  MovementSpec free;
  free.range_angle = RangeAngle::strongest_turn;
  LiveSetCounter counter({{Segment::other, Side::middle}}, free);
  counter.begin_part(LivePart::set);
  std::size_t told = 0, taken_back = 0;
  for (Eigen::Index i = 0; i < data.size(); ++i) {
    if (i == 4400) counter.begin_part(LivePart::still_after);
    counter.update(0, data.t[i], data.gyr.col(i), data.acc.col(i));
    for (const LiveEvent& event : counter.take_events().events) {
      told += event.kind == LiveEvent::Kind::rep ? 1U : 0U;
      taken_back += event.kind == LiveEvent::Kind::correction && event.rep.withdrawn ? 1U : 0U;
    }
  }
  EXPECT_EQ(counter.full_reps(), 6);
  EXPECT_GT(taken_back, 0U);
  EXPECT_EQ(told - taken_back, 6U);
}

TEST(LiveSetCounter, AStuckSensorCountsNoReps) {
  // From 16.4 s on, in the middle of a bend, one reading comes again and again.
  InertialSeries data = bending(4, 90.0 * kDegree).record(60.0, 100.0);
  for (Eigen::Index i = 1641; i < data.size(); ++i) {
    data.gyr.col(i) = data.gyr.col(1640);
    data.acc.col(i) = data.acc.col(1640);
  }
  ASSERT_GT(data.gyr.col(1640).norm(), 0.3);  // it would turn round and round
  for (const RangeAngle angle : {RangeAngle::thigh_depth, RangeAngle::strongest_turn}) {
    MovementSpec movement;
    movement.range_angle = angle;
    LiveSetCounter counter({{Segment::thigh, Side::left}}, movement);
    int when_stuck = -1;
    for (Eigen::Index i = 0; i < data.size(); ++i) {
      counter.update(0, data.t[i], data.gyr.col(i), data.acc.col(i));
      if (i == 1660) when_stuck = counter.full_reps() + counter.part_reps();
    }
    EXPECT_LE(counter.full_reps() + counter.part_reps(), when_stuck);
  }
}

TEST(LiveSetCounter, PrefersAThighForASquatElseWhatMovesMost) {
  const auto swinging = [](double range) { return bending(4, range).record(21.0, 100.0); };
  const std::vector<InertialSeries> data = {swinging(90.0 * kDegree), swinging(30.0 * kDegree)};
  const auto count = [&](const MovementSpec& movement, const std::vector<Placement>& worn) {
    LiveSetCounter counter(worn, movement);
    for (Eigen::Index i = 0; i < data[0].size(); ++i) {
      for (std::size_t s = 0; s < 2; ++s) {
        counter.update(s, data[s].t[i], data[s].gyr.col(i), data[s].acc.col(i));
      }
    }
    EXPECT_EQ(counter.full_reps(), 4);
    return counter.counting().front();
  };
  MovementSpec squat;
  EXPECT_EQ(count(squat, {{Segment::chest, Side::middle}, {Segment::thigh, Side::left}}), 1U);
  MovementSpec free;
  free.range_angle = RangeAngle::strongest_turn;
  EXPECT_EQ(count(free, {{Segment::chest, Side::middle}, {Segment::thigh, Side::left}}), 0U);
}

}  // namespace
}  // namespace strapline::dsp
