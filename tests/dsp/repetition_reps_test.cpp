#include "../../dsp/src/repetition_reps.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "../../dsp/src/strongest_turn.hpp"
#include "swinging_strap.hpp"

// From the repetitions that were told to the reps of a set that nothing else is known of.
namespace strapline::dsp {
namespace {

using testing::bends;

constexpr double kRange = 0.7;  // rad

/// A rep or what was taken for one: about `axis`, from so many seconds on.
struct Motion {
  double from_s;
  double seconds = 4.0;
  double range = kRange;
  double similarity = 0.98;
  double size = 0.3;
  Eigen::Vector3d axis = Eigen::Vector3d::UnitX();
};

/// Reps of 4 s each with a pause of 1 s.
std::vector<Motion> reps_from(double from_s, int count) {
  std::vector<Motion> reps;
  for (int k = 0; k < count; ++k) reps.push_back({from_s + 5.0 * k});
  return reps;
}

/// A minute of one strap, of which the repetitions tell as `motions` say.
SetWork told_of(const SetInput& input, const std::vector<Motion>& motions) {
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(6001, 0.0, 60.0));
  PreparedStrap strap;
  for (const double t : work.t) {
    Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
    for (const Motion& m : motions) {
      q = q * exp_rotation(bends(t, m.from_s, 1, m.seconds, 0.0, m.range).angle * m.axis);
    }
    strap.motion.q_world_from_sensor.push_back(q);
  }
  strap.motion.known.assign(6001, 1);
  strap.motion.vertical_velocity = Eigen::VectorXd::Zero(6001);
  work.straps.push_back(strap);
  work.parts.set = {0.0, 60.0};
  for (const Motion& m : motions) {
    work.repetitions.push_back({m.from_s, m.from_s + m.seconds, m.similarity, m.size});
  }
  work.range_angle =
      turn_from_start(work.straps[0].motion, work.t, sure_stretches(work.repetitions));
  return work;
}

SetInput free_input() {
  SetInput input;
  input.straps.resize(1);
  input.movement.range_angle = RangeAngle::strongest_turn;
  return input;
}

std::vector<double> begins_of(SetWork work) {
  segment_repetitions(work);
  std::vector<double> begins;
  for (const Excursion& e : work.excursions) begins.push_back(std::round(e.start.time_s));
  return begins;
}

TEST(RepetitionReps, WhatHandsDidBendsTheAxisNoMore) {
  // Two quick ones, wider and about another axis, were taken for reps.
  const SetInput input = free_input();
  std::vector<Motion> motions;
  for (const double from_s : {22.0, 23.2}) {
    motions.push_back({from_s, 1.0, 1.6, 0.9, 0.3, Eigen::Vector3d(1.0, 1.0, 0.0).normalized()});
  }
  for (const Motion& rep : reps_from(26.0, 5)) motions.push_back(rep);
  SetWork work = told_of(input, motions);
  const std::vector<Excursion> bent =
      excursions_in(work.t, work.range_angle, 0.0, stretches_of(work.repetitions), {});
  ASSERT_EQ(bent.size(), 7U);
  ASSERT_LT(bent.back().range, 0.98 * kRange);
  segment_repetitions(work);
  ASSERT_EQ(work.excursions.size(), 5U);
  EXPECT_EQ(work.repetitions.size(), 5U);
  for (const Excursion& e : work.excursions) EXPECT_NEAR(e.range, kRange, 0.005);
}

TEST(RepetitionReps, OfAStrapThatTurnsLittleTheSizeTellsPartRepsUnlessItTurnsAsFar) {
  // Only a half of the rep was told, as when the other grinds: its size is a part rep's.
  const SetInput input = free_input();
  std::vector<Motion> motions = reps_from(10.0, 6);
  for (Motion& m : motions) m.range = 0.4;
  motions[4].size = motions[5].size = 0.05;
  motions[4].range = 0.25;
  SetWork work = told_of(input, motions);
  segment_repetitions(work);
  ASSERT_EQ(work.excursions.size(), 6U);
  EXPECT_TRUE(work.excursions[4].part);
  EXPECT_FALSE(work.excursions[5].part);
}

TEST(RepetitionReps, WhoHurriesDoesNotDoSoForTwo) {
  const SetInput input = free_input();
  const auto with_fast = [](double takes_s) {
    std::vector<Motion> motions = reps_from(16.0, 2);
    motions.push_back({26.0, 1.2, kRange, 0.97});
    motions.push_back({27.6, 1.2, kRange, 0.97});
    for (const Motion& rep : reps_from(30.0, 3)) motions.push_back(rep);
    motions[2].seconds = motions[3].seconds = takes_s;
    return motions;
  };
  EXPECT_EQ(begins_of(told_of(input, with_fast(1.2))).size(), 5U);
  EXPECT_EQ(begins_of(told_of(input, with_fast(1.7))).size(), 7U);
}

}  // namespace
}  // namespace strapline::dsp
