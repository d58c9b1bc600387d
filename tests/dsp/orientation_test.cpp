#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/orientation_filter.hpp"
#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;
using testing::Swing;
using testing::SwingingStrap;

SwingingStrap squatting_thigh() {
  SwingingStrap strap;
  strap.swing = [](double t) { return testing::bends(t, 4.0, 8, 3.0, 1.0, 95.0 * kDegree); };
  strap.q_segment_from_sensor = exp_rotation({0.2, 0.7, -0.1});
  return strap;
}

double worst_tilt_error(const SwingingStrap& strap, const OrientationSeries& series,
                        double from_s) {
  double worst = 0.0;
  for (Index i = 0; i < series.t.size(); ++i) {
    if (series.t[i] < from_s) continue;
    const Quaterniond truth = strap.q_world_from_segment(series.t[i]) * strap.q_segment_from_sensor;
    const Vector3d up = truth.conjugate() * world_up();
    const Vector3d seen =
        series.q_world_from_sensor[static_cast<std::size_t>(i)].conjugate() * world_up();
    worst = std::max(worst, std::atan2(up.cross(seen).norm(), up.dot(seen)));
  }
  return worst;
}

TEST(Orientation, SmoothedTiltOfACleanSetIsWithinAThirdOfADegree) {
  const SwingingStrap strap = squatting_thigh();
  const auto series = smoothed_orientation(strap.record(40.0, 100.0));
  EXPECT_LT(worst_tilt_error(strap, series, 0.0), 0.33 * kDegree);
}

TEST(Orientation, RestShowsTheGyroscopesBias) {
  SwingingStrap strap = squatting_thigh();
  strap.gyr_bias = Vector3d(0.01, -0.02, 0.015);
  const auto series = smoothed_orientation(strap.record(40.0, 100.0));
  EXPECT_LT((series.gyr_bias - strap.gyr_bias).norm(), 5e-4);
  EXPECT_LT(worst_tilt_error(strap, series, 0.0), 0.5 * kDegree);
}

/// An old part's bias (stated: 8 °/s, 1 sigma) of two sigma on each axis.
TEST(Orientation, RestShowsALargeBiasThatIsStated) {
  SwingingStrap strap = squatting_thigh();
  strap.gyr_bias = Vector3d(0.28, -0.28, 0.28);
  OrientationParams params;
  params.gyr_bias_sd = 0.14;
  const auto record = strap.record(40.0, 100.0);
  const auto series = smoothed_orientation(record, params);
  EXPECT_LT((series.gyr_bias - strap.gyr_bias).norm(), 2e-3);
  EXPECT_LT(worst_tilt_error(strap, series, 0.0), 1.0 * kDegree);
  EXPECT_LT(worst_tilt_error(strap, streaming_orientation(record, params), 5.0), 2.0 * kDegree);
}

/// The strap hangs 0.3 m from the pivot: its height follows from the angle.
TEST(Orientation, TheVerticalVelocityIsThatOfTheStrap) {
  const SwingingStrap strap = squatting_thigh();
  InertialSeries record = strap.record(40.0, 100.0);
  record.acc.colwise() += Vector3d(0.1, -0.1, 0.1);  // an offset as of a common part
  OrientationParams params;
  params.acc_bias_sd = 0.15;
  const auto series = smoothed_orientation(record, params);
  double sum = 0.0, truth = 0.0;
  for (Index i = 1; i + 1 < series.t.size(); ++i) {
    const auto height = [&](double t) { return (strap.q_world_from_segment(t) * strap.arm).y(); };
    const double v = (height(series.t[i] + 0.01) - height(series.t[i] - 0.01)) / 0.02;
    sum += std::pow(series.vertical_velocity[i] - v, 2);
    truth += v * v;
  }
  EXPECT_LT(std::sqrt(sum / truth), 0.1);
}

/// A minute of sitting down and getting up: under 5 °/s and without a shake, as steady as rest. The
/// rate is not the gyroscope's bias, because gravity comes from elsewhere meanwhile.
TEST(Orientation, WhatTurnsSlowlyIsNotTakenForABias) {
  SwingingStrap strap = squatting_thigh();
  strap.swing = [](double t) { return testing::bends(t, 4.0, 1, 60.0, 0.0, 90.0 * kDegree); };
  const auto record = strap.record(70.0, 100.0);
  EXPECT_LT(worst_tilt_error(strap, streaming_orientation(record), 3.0), 1.0 * kDegree);
  EXPECT_LT(worst_tilt_error(strap, smoothed_orientation(record), 0.0), 0.5 * kDegree);
}

TEST(Orientation, TheStatedUncertaintyHoldsTheWorstErrorOfACleanSet) {
  const SwingingStrap strap = squatting_thigh();
  const auto series = smoothed_orientation(strap.record(40.0, 100.0));
  EXPECT_GT(3.0 * series.tilt_u.maxCoeff(), worst_tilt_error(strap, series, 0.0));
}

/// Lying on another side, gravity shows two of the accelerometer's offsets by its size. The third
/// lies along the axis of the turn, and tilts what it feels before and after.
TEST(Orientation, AfterATurnTheTiltAcrossItsAxisIsTheLessCertain) {
  SwingingStrap strap;
  strap.swing = [](double t) {
    const Swing there = testing::bends(t, 8.0, 1, 6.0, 0.0, 90.0 * kDegree);
    return t < 11.0 ? there : Swing{90.0 * kDegree, 0.0, 0.0};
  };
  OrientationParams params;
  params.acc_bias_sd = 0.2;
  const auto series = smoothed_orientation(strap.record(40.0, 100.0), params);
  const auto& q = series.q_world_from_sensor;
  Eigen::Vector3d axis = log_rotation(q[3500] * q[300].conjugate());
  axis.y() = 0.0;
  axis.normalize();
  const Eigen::Vector3d c = series.tilt_covariance.col(3500);
  const auto variance = [&](double x, double z) {
    return c[0] * x * x + 2.0 * c[1] * x * z + c[2] * z * z;
  };
  EXPECT_GT(variance(axis.z(), -axis.x()), 3.0 * variance(axis.x(), axis.z()));
  const double mean = 0.5 * (c[0] + c[2]);
  EXPECT_NEAR(series.tilt_u[3500], std::hypot(std::sqrt(mean), params.tilt_floor), 1e-9);
}

/// The orientations of some instants kept as further states beside the filter's: no pass backwards
/// is needed, at the end they hold what everything says of how their errors go together.
class KeptErrors {
 public:
  void keep(const ErrorMatrix& own) {
    const Index n = with_.rows();
    Eigen::MatrixXd with(n + 3, error_index::kSize), each(n + 3, n + 3);
    with << with_, own.topRows<3>();
    each << each_, with_.leftCols(3), with_.leftCols(3).transpose(), own.topLeftCorner<3, 3>();
    with_ = with;
    each_ = each;
  }

  void step(const OrientationFilter::EpochResult& epoch) {
    with_ = (with_ * epoch.transition.dense().transpose()).eval();
    for (std::size_t v = 0; v < epoch.view_count; ++v) {
      const BlockUpdate& view = epoch.views[v];
      const Eigen::MatrixXd seen = with_.middleCols(view.at, 3);
      each_ -= seen * view.information * seen.transpose();
      with_ -= seen * view.gain.transpose();
    }
  }

  [[nodiscard]] Eigen::Matrix3d between(Index first, Index second) const {
    return each_.block<3, 3>(3 * first, 3 * second);
  }

 private:
  Eigen::MatrixXd with_ = Eigen::MatrixXd(0, error_index::kSize), each_ = Eigen::MatrixXd(0, 0);
};

/// A part of which much is unknown, on a thigh that squats.
OrientationParams rough_part() {
  OrientationParams params;
  params.acc_bias_sd = 0.2;
  params.gyr_gain_sd = 0.01;
  return params;
}

TEST(Orientation, HowTiltsGoTogetherIsWhatAFilterThatKeepsThemKnows) {
  const InertialSeries data = squatting_thigh().record(40.0, 100.0);
  const OrientationParams params = rough_part();
  constexpr Index kBefore = 600, kReference = 1300, kAfter = 2840;
  const auto series = OrientationSmoother(params).smooth(data, data.t[kReference]);

  OrientationFilter filter(params);
  KeptErrors kept;
  std::vector<Index> at;
  for (Index i = 0; i < data.size(); ++i) {
    const double dt = i == 0 ? 0.0 : data.t[i] - data.t[i - 1];
    if (!filter.update(dt, data.gyr.col(i), data.acc.col(i))) continue;
    kept.step(filter.last_epoch());
    if (i != kBefore && i != kReference && i != kAfter) continue;
    kept.keep(filter.state().covariance);
    at.push_back(i);
  }
  ASSERT_EQ(at.size(), 3U) << "each of them closes an epoch of 0.2 s";
  const double size = kept.between(1, 1).norm();
  const auto expect = [&](const Eigen::Vector4d& seen, const Eigen::Matrix3d& c) {
    EXPECT_LT((seen - Eigen::Vector4d(c(0, 0), c(0, 2), c(2, 0), c(2, 2))).norm(), 0.003 * size);
  };
  for (Index k = 0; k < 3; ++k) {
    const Index i = at[static_cast<std::size_t>(k)];
    expect(series.tilt_with_reference.col(i), kept.between(1, k));
  }
  const Vector3d own = series.reference_tilt;
  expect({own[0], own[1], own[1], own[2]}, kept.between(1, 1));
  // Most of both is one offset: with its size alone this would say nothing.
  EXPECT_GT(kept.between(1, 2).norm(), 0.5 * size);
}

/// What a turn's two ends are off by mostly cancels: the gyroscope links them.
TEST(Orientation, ATurnIsKnownFarBetterThanItsEnds) {
  const InertialSeries data = squatting_thigh().record(40.0, 100.0);
  OrientationParams params = rough_part();
  params.gyr_gain_sd = 0.001;
  const auto series = OrientationSmoother(params).smooth(data, 2.0);
  constexpr Index kDeep = 550;
  const Vector3d now = series.tilt_covariance.col(kDeep), then = series.reference_tilt;
  const Eigen::Vector4d both = series.tilt_with_reference.col(kDeep);
  // The thigh swings about the world's Z.
  const double ends = now[2] + then[2], turn = ends - 2.0 * both[3];
  EXPECT_GT(turn, 0.0);
  EXPECT_LT(turn, 0.1 * ends);
  EXPECT_TRUE(smoothed_orientation(data).tilt_with_reference.size() == 0) << "none was asked for";
}

TEST(Orientation, AHundredSamplesSavedAndRestoredEqualTwoHundredInOneGo) {
  const InertialSeries data = squatting_thigh().record(20.0, 100.0);
  const auto run = [&](OrientationFilter& filter, Index from, Index to) {
    for (Index i = from; i < to; ++i) {
      filter.update(i == 0 ? 0.0 : data.t[i] - data.t[i - 1], data.gyr.col(i), data.acc.col(i));
    }
  };
  for (const Index cut : {1, 500, 503}) {
    OrientationFilter whole, first, second;
    run(whole, 0, 1000);
    run(first, 0, cut);
    second.restore(first.state());
    run(second, cut, 1000);
    EXPECT_EQ(whole.orientation().coeffs(), second.orientation().coeffs()) << cut;
    EXPECT_EQ(whole.state().covariance, second.state().covariance) << cut;
  }
}

// Sample by sample, as live, and over a whole series at once; nothing looks ahead.
TEST(Orientation, TheBatchEqualsTheStream) {
  const InertialSeries data = squatting_thigh().record(20.0, 100.0);
  const OrientationSeries batch = streaming_orientation(data);
  OrientationFilter live;
  for (Index i = 0; i < data.size(); ++i) {
    live.update(i == 0 ? 0.0 : data.t[i] - data.t[i - 1], data.gyr.col(i), data.acc.col(i));
    const auto at = static_cast<std::size_t>(i);
    ASSERT_EQ(live.orientation().coeffs(), batch.q_world_from_sensor[at].coeffs()) << i;
    ASSERT_EQ(live.tilt_u(), batch.tilt_u[i]) << i;
    ASSERT_EQ(live.heading_u(), batch.heading_u[i]) << i;
  }
}

TEST(Orientation, TurningTheSensorInItsHousingTurnsTheResultAlong) {
  SwingingStrap strap = squatting_thigh();
  const auto plain = smoothed_orientation(strap.record(20.0, 100.0));
  const Quaterniond housing = exp_rotation({1.0, -0.4, 0.6});
  strap.q_segment_from_sensor = strap.q_segment_from_sensor * housing;
  const auto turned = smoothed_orientation(strap.record(20.0, 100.0));
  for (std::size_t i = 0; i < plain.q_world_from_sensor.size(); i += 50) {
    const Quaterniond a = plain.q_world_from_sensor[i] * housing;
    const Vector3d up_a = a.conjugate() * world_up();
    const Vector3d up_b = turned.q_world_from_sensor[i].conjugate() * world_up();
    EXPECT_LT((up_a - up_b).norm(), 1e-6) << i;
  }
}

TEST(Orientation, AGapMakesTheUncertaintyGrow) {
  InertialSeries data = squatting_thigh().record(20.0, 100.0);
  OrientationFilter filter;
  double before = 0.0, after = 0.0;
  for (Index i = 0; i < 800; ++i) {
    filter.update(i == 0 ? 0.0 : 0.01, data.gyr.col(i), data.acc.col(i));
  }
  before = filter.tilt_u();
  for (Index i = 830; i < 840; ++i) {
    filter.update(i == 830 ? 0.31 : 0.01, data.gyr.col(i), data.acc.col(i), i != 830);
  }
  after = filter.tilt_u();
  EXPECT_GT(after, 3.0 * before);
}

}  // namespace
}  // namespace strapline::dsp
