#include "../../dsp/src/rest_velocity.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kOffset = 0.06;  // m/s², of the accelerometer
constexpr double kFilters = 0.5;  // m/s, what the filter says all the time

/// A strap that sinks by 5 cm and comes back, from 10 s on, and else rests; while it does so it
/// turns by `turns`, rad/s.
struct Sinking {
  InertialSeries series;
  PreparedStrap strap;
  VectorXd t = VectorXd::LinSpaced(4001, 0.0, 40.0);
  VectorXd velocity = VectorXd::Zero(4001);

  explicit Sinking(double length_s, double turns = 0.0) {
    series.t = t;
    series.gyr = Eigen::Matrix3Xd::Zero(3, 4001);
    series.acc = Eigen::Matrix3Xd::Zero(3, 4001);
    strap.motion.known.assign(4001, 1);
    strap.motion.vertical_velocity = VectorXd::Constant(4001, kFilters);
    strap.motion.q_world_from_sensor.assign(4001, Eigen::Quaterniond::Identity());
    const double step = t[1] - t[0];
    for (Index i = 0; i < 4001; ++i) {
      velocity[i] = -testing::bends(t[i], 10.0, 1, length_s, 0.0, 0.05).rate;
    }
    for (Index i = 0; i < 4001; ++i) {
      const Index a = std::max<Index>(0, i - 1), b = std::min<Index>(4000, i + 1);
      const double up = (velocity[b] - velocity[a]) / (step * static_cast<double>(b - a));
      series.acc.col(i) = (up + kStandardGravity + kOffset) * world_up();
      if (velocity[i] != 0.0) series.gyr(2, i) = turns;
    }
  }

  [[nodiscard]] VectorXd found() const { return velocity_between_rests(series, strap, t); }
};

TEST(RestVelocity, ShowsCentimetresThoughTheAccelerometerIsOff) {
  const Sinking slow(4.0, 0.05);
  const VectorXd v = slow.found();
  const double step = slow.t[1] - slow.t[0];
  EXPECT_NEAR(v.segment(1000, 200).sum() * step, -0.05, 0.003);
  EXPECT_NEAR(v.segment(1000, 400).sum() * step, 0.0, 0.003);
  EXPECT_NEAR((v - slow.velocity).segment(900, 600).cwiseAbs().maxCoeff(), 0.0, 0.005);
}

TEST(RestVelocity, IsTheFiltersWhereRestsAreFarApart) {
  const VectorXd v = Sinking(20.0, 0.05).found();
  EXPECT_EQ(v[2000], kFilters);
  EXPECT_NEAR(v[500], 0.0, 1e-6);
}

TEST(RestVelocity, WhatTurnsSlowlyDoesNotRest) {
  // As evenly as it sinks here, the accelerometer alone shows rest.
  EXPECT_LT(Sinking(12.0, 0.05).found().minCoeff(), -0.009);
}

TEST(RestVelocity, WhatShakesDoesNotRest) {
  Sinking shaken(4.0);
  for (Index i = 0; i < 4001; i += 2) shaken.series.acc.col(i) += 0.3 * world_up();
  EXPECT_EQ(shaken.found()[500], kFilters);
}

TEST(RestVelocity, AGapIsNotIntegratedAcross) {
  Sinking slow(4.0, 0.05);
  slow.strap.motion.known[1200] = 0;
  EXPECT_EQ(slow.found()[1300], kFilters);
}

TEST(RestVelocity, OfTooFewSamplesIsTheFilters) {
  Sinking slow(4.0);
  slow.series = {};
  EXPECT_EQ(slow.found()[1300], kFilters);
}

}  // namespace
}  // namespace strapline::dsp
