#include "../../dsp/src/shallow_reps.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using testing::bends;

/// There and back: it turns the strap, and lets it sink.
struct Motion {
  double from_s;
  double range = 0.6;  // rad
  double length_s = 4.0;
  double sinks = 0.0;  // m
  Vector3d axis = Vector3d::UnitZ();
};

/// Full reps of 4 s each, 1 s between them but for a gap of 6 s after the second.
const std::vector<Motion> kReps{{10.0}, {15.0}, {25.0}, {30.0}};

SetWork set_of(const SetInput& input, const std::vector<Motion>& reps,
               const std::vector<Motion>& others) {
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(6001, 0.0, 60.0));
  work.range_angle = Eigen::VectorXd::Zero(6001);
  PreparedStrap strap;
  strap.motion.known.assign(6001, 1);
  strap.motion.vertical_velocity = Eigen::VectorXd::Zero(6001);
  for (Index i = 0; i < 6001; ++i) {
    Vector3d turn = Vector3d::Zero();
    for (const auto* some : {&reps, &others}) {
      for (const Motion& m : *some) {
        const double t = work.t[i];
        turn += bends(t, m.from_s, 1, m.length_s, 0.0, m.range).angle * m.axis;
        strap.motion.vertical_velocity[i] -= bends(t, m.from_s, 1, m.length_s, 0.0, m.sinks).rate;
      }
    }
    work.range_angle[i] = turn.z();
    strap.motion.q_world_from_sensor.push_back(exp_rotation(turn));
  }
  work.straps.push_back(strap);
  std::vector<Interval> told;
  for (const Motion& m : reps) told.push_back({m.from_s, m.from_s + m.length_s});
  work.excursions = excursions_in(work.t, work.range_angle, 0.0, told, {});
  for (Excursion& e : work.excursions) e.part = false;
  return work;
}

/// The turns, s, of what was found beside the reps.
std::vector<double> found_beside(const std::vector<Motion>& reps, const std::vector<Motion>& others,
                                 bool part, bool rises = false) {
  const SetInput input;
  SetWork work = set_of(input, reps, others);
  work.rises = rises;
  std::vector<double> turns;
  std::size_t told = 0;
  for (const Excursion& e : with_shallow(work, {})) {
    const bool is_told = std::any_of(reps.begin(), reps.end(), [&](const Motion& m) {
      return std::abs(m.from_s - e.start.time_s) < 0.5;
    });
    if (is_told) ++told;
    if (!is_told && e.part == part) turns.push_back(work.t[e.turn_index]);
  }
  EXPECT_EQ(told, reps.size());
  return turns;
}

std::vector<double> parts_among(const std::vector<Motion>& reps, const std::vector<Motion>& others,
                                bool rises = false) {
  return found_beside(reps, others, true, rises);
}

void expect_turns(const std::vector<double>& found, const std::vector<double>& expected) {
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t k = 0; k < found.size(); ++k) EXPECT_NEAR(found[k], expected[k], 0.3);
}

TEST(ShallowReps, FollowOneAnotherAndLeadToAFullOne) {
  expect_turns(parts_among(kReps, {{20.0, 0.2}, {35.0, 0.2}, {40.0, 0.2}, {5.0, 0.2}}),
               {7.0, 22.0, 37.0, 42.0});
}

TEST(ShallowReps, WhatAStrapDoesAfterwardsHidesNone) {
  expect_turns(parts_among(kReps, {{35.0, 0.15}, {40.0, 3.0, 1.0}, {41.0, 3.0, 1.0}}), {37.0});
}

TEST(ShallowReps, AreAsSlowAsTheReps) {
  expect_turns(parts_among(kReps, {{20.0, 0.2, 2.0}, {35.0, 0.2, 9.0}}), {});
}

TEST(ShallowReps, WhatIsSmallerIsFidgeting) {
  expect_turns(parts_among(kReps, {{35.0, 0.08}}), {});
}

TEST(ShallowReps, ComeBack) { expect_turns(parts_among(kReps, {{35.0, 0.26}, {37.8, 0.26}}), {}); }

TEST(ShallowReps, ComeAtOnce) { expect_turns(parts_among(kReps, {{37.5, 0.2}, {50.0, 0.2}}), {}); }

TEST(ShallowReps, LeaveTheUsualPause) {
  const std::vector<Motion> slow{{8.0}, {15.0}, {22.0}, {29.0}};
  expect_turns(parts_among(slow, {{19.0, 0.2, 3.0}}), {});
}

TEST(ShallowReps, ANarrowFullOneGoesTheirWayAndTakesAsLong) {
  expect_turns(found_beside(kReps, {{20.0, 0.4}, {35.0, 0.4}}, false), {22.0, 37.0});
  expect_turns(parts_among(kReps, {{20.0, 0.4}}), {});
  EXPECT_TRUE(found_beside(kReps, {{20.5, 0.4, 3.3}}, false).empty());
  const Vector3d askew = Vector3d{0.0, 0.5, 1.0}.normalized();
  EXPECT_TRUE(found_beside(kReps, {{20.0, 0.4, 4.0, 0.0, askew}}, false).empty());
}

TEST(ShallowReps, AFullOneThatWasNotToldFillsTheGap) {
  expect_turns(found_beside(kReps, {{20.0, 0.55}}, false), {22.0});
}

TEST(ShallowReps, WhatIsWiderThanTheRepsFillsNoGap) {
  EXPECT_TRUE(found_beside(kReps, {{20.0, 0.8}}, false).empty());
}

TEST(ShallowReps, AfterOneRepTheyComeAtOnceToo) {
  expect_turns(parts_among({{10.0}}, {{15.0, 0.2}}), {17.0});
  expect_turns(parts_among({{10.0}}, {{17.0, 0.2}}), {});
}

TEST(ShallowReps, AFullOneThatNothingToldOfBeginsOrEndsASet) {
  expect_turns(found_beside(kReps, {{35.0, 0.55}, {5.0, 0.55}}, false), {7.0, 37.0});
  EXPECT_TRUE(found_beside(kReps, {{39.0, 0.55}}, false).empty());  // not at once
}

TEST(ShallowReps, AFullOneAtASetsEndGoesJustTheirWay) {
  const Vector3d askew = Vector3d{0.0, 0.3, 1.0}.normalized();
  EXPECT_TRUE(found_beside(kReps, {{35.0, 0.55, 4.0, 0.0, askew}}, false).empty());
  const Vector3d nearly = Vector3d{0.0, 0.1, 1.0}.normalized();
  expect_turns(found_beside(kReps, {{35.0, 0.55, 4.0, 0.0, nearly}}, false), {37.0});
}

TEST(ShallowReps, AFullOneAtASetsEndComesHome) {
  // What goes on turns it back by less than it went.
  EXPECT_TRUE(found_beside(kReps, {{35.0, 0.55}, {37.0, 0.2, 8.0}}, false).empty());
}

TEST(ShallowReps, AFullOneAtASetsEndMayGrind) {
  expect_turns(found_beside(kReps, {{35.0, 0.58, 10.0}}, false), {40.0});
  EXPECT_TRUE(found_beside(kReps, {{35.0, 0.58, 14.0}}, false).empty());
  EXPECT_TRUE(found_beside(kReps, {{35.0, 0.58, 2.5}}, false).empty());
}

TEST(ShallowReps, GoTheirWayUnlessTheyFillAGapBetweenReps) {
  const Vector3d x = Vector3d::UnitX();
  expect_turns(parts_among(kReps, {{20.0, 0.2, 4.0, 0.0, x}, {35.0, 0.2, 4.0, 0.0, x}}), {22.0});
}

/// Reps that let the strap sink, and hardly turn it.
std::vector<Motion> sinking() {
  std::vector<Motion> reps = kReps;
  for (Motion& m : reps) {
    m.range = 0.1;
    m.sinks = 0.4;
  }
  return reps;
}

TEST(ShallowReps, ShowInTheHeightOfAStrapThatHardlyTurns) {
  expect_turns(parts_among(sinking(), {{20.0, 0.03, 4.0, 0.1}}, true), {22.0});
}

TEST(ShallowReps, MayPassHomeAsTheRepsDo) {
  // A pelvis rises before it sinks into a lunge and again before it rests, so borders lie above
  // home.
  std::vector<Motion> others{{20.0, 0.03, 4.0, 0.08}};
  for (const double at_s : {10.0, 14.0, 15.0, 19.0, 25.0, 29.0, 30.0, 34.0}) {
    others.push_back({at_s - 0.5, 0.0, 1.0, -0.1});
  }
  for (const double from_s : {20.0, 23.2}) others.push_back({from_s, 0.0, 0.8, -0.05});
  expect_turns(parts_among(sinking(), others, true), {22.0});
}

TEST(ShallowReps, WhatRisesNeedNotTurnTheStrapAsFar) {
  std::vector<Motion> reps = kReps;
  for (Motion& m : reps) m.sinks = 0.4;
  expect_turns(parts_among(reps, {{20.0, 0.08, 4.0, 0.1}}), {22.0});
  const auto beside = [&](double range, double turn) {
    for (Motion& m : reps) m.range = range;
    return parts_among(reps, {{20.0, turn, 4.0, 0.1}}).size();
  };
  EXPECT_EQ(beside(0.3, 0.04), 0U);  // sway
  EXPECT_EQ(beside(0.9, 0.075), 0U);
}

TEST(ShallowReps, RangeIsTheirTurnAboutWhateverAxis) {
  const SetInput input;
  SetWork work = set_of(input, sinking(), {{20.0, 0.03, 4.0, 0.1, Vector3d::UnitX()}});
  work.rises = true;
  const std::vector<Excursion> all = with_shallow(work, {});
  ASSERT_EQ(all.size(), 5U);
  EXPECT_TRUE(all[2].part);
  EXPECT_NEAR(all[2].range, 0.03, 0.003);
}

TEST(ShallowReps, NoneWithoutAFullOne) {
  const SetInput input;
  SetWork work = set_of(input, kReps, {{20.0, 0.2}});
  for (Excursion& e : work.excursions) e.part = true;
  EXPECT_EQ(with_shallow(work, {}).size(), 4U);
}

}  // namespace
}  // namespace strapline::dsp
