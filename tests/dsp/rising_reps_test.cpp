#include "../../dsp/src/rising_reps.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;
using testing::bends;

constexpr double kSinks = 0.4;  // m

/// A strap that only sinks: two clusters of three reps of 3 s each, `pause` s between reps, the
/// second one from 40 s on; then once by `beside` of that.
SetWork sinking(const SetInput& input, double pause, double beside = 0.0) {
  SetWork work = work_on(input, VectorXd::LinSpaced(7001, 0.0, 70.0));
  work.range_angle = VectorXd::Zero(work.t.size());
  PreparedStrap strap;
  strap.motion.known.assign(7001, 1);
  strap.motion.vertical_velocity = work.t.unaryExpr([&](double t) {
    return -(bends(t, 10.0, 3, 3.0, pause, kSinks) + bends(t, 40.0, 3, 3.0, pause, kSinks) +
             bends(t, 49.0 + 3.0 * pause, 1, 3.0, pause, beside * kSinks))
                .rate;
  });
  work.straps.push_back(strap);
  return work;
}

std::vector<double> turns_of(const std::vector<Excursion>& reps) {
  std::vector<double> turns;
  for (const Excursion& e : reps) turns.push_back(0.5 * (e.turn_in.time_s + e.turn_out.time_s));
  return turns;
}

void expect_turns(const SetWork& work, const std::vector<double>& expected) {
  const std::vector<double> turns = turns_of(rising_reps(work, {}));
  ASSERT_EQ(turns.size(), expected.size());
  for (std::size_t k = 0; k < turns.size(); ++k) EXPECT_NEAR(turns[k], expected[k], 0.2);
}

TEST(RisingReps, WhatIsAsWideMayFollowAfterARest) {
  const SetInput input;
  SetWork work = sinking(input, 3.0);
  work.repetitions = {{10.0, 13.0, 0.99, 0.3}, {16.0, 19.0, 0.99, 0.3}, {40.0, 43.0, 0.99, 0.3}};
  expect_turns(work, {11.5, 17.5, 23.5, 41.5, 47.5, 53.5});
}

TEST(RisingReps, WhereTheClientWaitsTheyBegin) {
  const SetInput input;
  SetWork work = sinking(input, 1.0);
  // Cut from the lowest point to the next one.
  work.repetitions = {{11.5, 15.5, 0.99, 0.3},
                      {15.5, 19.5, 0.99, 0.3},
                      {41.5, 45.5, 0.99, 0.3},
                      {45.5, 49.5, 0.99, 0.3}};
  expect_turns(work, {11.5, 15.5, 19.5, 41.5, 45.5, 49.5});
}

TEST(RisingReps, ClustersOfOneRepEachStayAsTold) {
  const SetInput input;
  SetWork work = sinking(input, 1.0);
  work.repetitions = {{11.5, 15.5, 0.99, 0.3}, {41.5, 45.5, 0.99, 0.3}};
  const std::vector<double> turns = turns_of(rising_reps(work, {}));
  ASSERT_GE(turns.size(), 2U);
  EXPECT_NEAR(turns.front(), 13.5, 0.6);
}

TEST(RisingReps, WhatRisesByLessThanHalfIsNotTheirs) {
  const SetInput input;
  for (const double beside : {0.35, 0.6}) {
    SetWork work = sinking(input, 1.0, beside);
    work.repetitions = {{10.0, 13.0, 0.99, 0.3}, {14.0, 17.0, 0.99, 0.3}, {18.0, 21.0, 0.99, 0.3},
                        {40.0, 43.0, 0.99, 0.3}, {44.0, 47.0, 0.99, 0.3}, {48.0, 51.0, 0.99, 0.3}};
    EXPECT_EQ(rising_reps(work, {}).size(), beside < 0.5 ? 6U : 7U) << beside;
  }
}

}  // namespace
}  // namespace strapline::dsp
