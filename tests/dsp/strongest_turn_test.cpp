#include "../../dsp/src/strongest_turn.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

const VectorXd kTimes = uniform_times(0.0, 20.0, 100.0);
constexpr double kRange = 0.6;  // rad

/// Two reps about X, from 2 to 6 and from 12 to 16 s; between them, from 7 to 11 s, the strap lies
/// turned by nearly half a circle about Z.
GridMotion two_reps() {
  GridMotion motion;
  for (const double t : kTimes) {
    const auto in = [&](double from, double to) { return t > from && t < to; };
    const double phase = in(2.0, 6.0) ? (t - 2.0) / 4.0 : in(12.0, 16.0) ? (t - 12.0) / 4.0 : 0.0;
    const double angle = kRange * 0.5 * (1.0 - std::cos(2.0 * std::numbers::pi * phase));
    Quaterniond q = exp_rotation(angle * Vector3d::UnitX());
    if (in(7.0, 11.0)) q = exp_rotation(3.0 * Vector3d::UnitZ());
    motion.q_world_from_sensor.push_back(q);
    motion.known.push_back(1);
  }
  return motion;
}

double range_between(const VectorXd& angle, double from_s, double to_s) {
  const auto part = angle.segment(nearest_index(kTimes, from_s),
                                  nearest_index(kTimes, to_s) - nearest_index(kTimes, from_s));
  return part.maxCoeff() - part.minCoeff();
}

TEST(StrongestTurn, IsOfTheRepsWhateverHappensBetweenThem) {
  const GridMotion motion = two_reps();
  const VectorXd angle = strongest_turn(motion, kTimes, {{2.0, 6.0}, {12.0, 16.0}}).angle;
  EXPECT_NEAR(range_between(angle, 2.0, 6.0), kRange, 0.01);
  EXPECT_NEAR(range_between(angle, 12.0, 16.0), kRange, 0.01);
  // Told as one part, it is of the pause.
  const VectorXd of_all = strongest_turn(motion, kTimes, {{2.0, 16.0}}).angle;
  EXPECT_LT(range_between(of_all, 2.0, 6.0), 0.5 * kRange);
}

TEST(StrongestTurn, GrowsAwayFromWhereRepsBegin) {
  const VectorXd angle = turn_from_start(two_reps(), kTimes, {{2.0, 6.0}, {12.0, 16.0}});
  EXPECT_NEAR(angle[nearest_index(kTimes, 2.0)], 0.0, 0.01);
  EXPECT_NEAR(angle[nearest_index(kTimes, 4.0)], kRange, 0.01);
  EXPECT_NEAR(angle[nearest_index(kTimes, 14.0)], kRange, 0.01);
}

}  // namespace
}  // namespace strapline::dsp
