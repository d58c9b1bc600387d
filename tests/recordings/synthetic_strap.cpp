// What the straps record: counts, noise, clocks, mounting.
#include <cmath>
#include <complex>
#include <numbers>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "set_plan.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Placement;
using dsp::Segment;
using dsp::Side;

const Placement kThigh{Segment::thigh, Side::left};

StrapSetup one_strap() {
  StrapSetup setup;
  setup.placements = {kThigh};
  return setup;
}

/// Standing still for a minute: nothing but the sensor's own errors.
Recording still_recording(const std::string& part) {
  SquatSetParams params = exact_params();
  params.parts.still = 60.0;
  StrapSetup setup = one_strap();
  setup.part = part;
  return synthesize(params, setup).value();
}

/// One-sided power spectral density of the samples, averaged over [from_hz, to_hz).
double band_density(const Eigen::VectorXd& x, double rate_hz, double from_hz, double to_hz) {
  const auto n = x.size();
  const Eigen::VectorXd centred = x.array() - x.mean();
  double sum = 0.0;
  int bins = 0;
  for (Eigen::Index k = 1; k < n / 2; ++k) {
    const double hz = static_cast<double>(k) * rate_hz / static_cast<double>(n);
    if (hz < from_hz || hz >= to_hz) continue;
    const auto step =
        std::polar(1.0, -2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(n));
    std::complex<double> turn = 1.0;
    std::complex<double> bin = 0.0;
    for (Eigen::Index i = 0; i < n; ++i, turn *= step) bin += centred[i] * turn;
    sum += 2.0 * std::norm(bin) / (rate_hz * static_cast<double>(n));
    ++bins;
  }
  return sum / bins;
}

// White noise of one-sided density N has the spectrum N², and rounding to counts adds
// scale²/12 spread over half the rate (Widrow's model, good for noise above half a count).
TEST(SyntheticStrap, NoiseSpectrumIsTheParts) {
  const Recording recording = still_recording("common_2019");
  const StrapRecord& strap = recording.straps[0];
  const SensorPart part = *sensor_part("common_2019");
  constexpr Eigen::Index kSamples = 4096;
  for (int row = 0; row < 6; ++row) {
    const double scale = row < 3 ? strap.acc_scale : strap.gyr_scale;
    const double density = row < 3 ? part.acc_noise_density : part.gyr_noise_density;
    const Eigen::VectorXd x =
        strap.counts.row(row).segment(100, kSamples).cast<double>().transpose() * scale;
    const double rounding = scale * scale / 12.0 / (0.5 * strap.rate_hz);
    const double expected = density * density + rounding;
    // About 500 bins each: 1 sigma of the mean is 4.5 %.
    for (const double from : {2.0, 15.0, 38.0}) {
      EXPECT_NEAR(band_density(x, strap.rate_hz, from, from + 12.5) / expected, 1.0, 0.18)
          << "row " << row << " from " << from << " Hz";
    }
  }
}

TEST(SyntheticStrap, BiasAndGainExplainTheMeanAtRest) {
  SquatSetParams params = exact_params();
  params.parts.still = 30.0;
  const auto set = synthesize_set(params, one_strap()).value();
  const StrapRecord& strap = set.recording.straps[0];
  const StrapTruth& truth = set.straps[0];
  const Eigen::Matrix<double, 6, 1> mean =
      strap.counts.leftCols(2900).cast<double>().rowwise().mean();
  EXPECT_LT((mean.tail<3>() * strap.gyr_scale - truth.gyr_bias).norm(), deg(0.02));
  const Eigen::Vector3d acc = mean.head<3>() * strap.acc_scale - truth.acc_bias;
  EXPECT_NEAR((truth.acc_gain.inverse() * acc).norm(), 9.80665, 5e-3);
  EXPECT_GT(truth.gyr_bias.norm(), 0.0);
}

TEST(SyntheticStrap, IdealCountsAreTheTrueReadingsRounded) {
  const SquatSetParams params = random_squat_params(2);
  StrapSetup setup = one_strap();
  setup.part = "ideal";
  setup.soft_tissue = no_soft_tissue();
  setup.clock_u = 0.0;
  const auto set = synthesize_set(params, setup).value();
  const StrapRecord& strap = set.recording.straps[0];
  const SquatMotion motion(params);
  StrapMount mount;
  mount.placement = kThigh;
  mount.segment_from_sensor = set.straps[0].segment_from_sensor;
  mount.lever = set.straps[0].lever;
  for (Eigen::Index i = 0; i < strap.t.size(); i += 37) {
    const StrapState state = strap_state(motion, mount, strap.t[i]);
    for (int axis = 0; axis < 3; ++axis) {
      // Half a count, and the microsecond of the tick.
      EXPECT_NEAR(strap.counts(axis, i), state.specific_force[axis] / strap.acc_scale, 0.55);
      EXPECT_NEAR(strap.counts(3 + axis, i), state.angular_rate[axis] / strap.gyr_scale, 0.55);
    }
  }
}

TEST(SyntheticStrap, ReadingsStopAtSixteenBits) {
  StrapSetup setup = one_strap();
  setup.own_part = sensor_part("ideal");
  setup.own_part->acc_scale = 0.5 * kGravity / 32768.0;
  const auto recording = synthesize(exact_params(), setup).value();
  EXPECT_EQ(recording.straps[0].counts.topRows<3>().cwiseAbs().maxCoeff(), 32767);
  EXPECT_EQ(recording.straps[0].full_scale_count, 32767);
}

TEST(SyntheticStrap, TicksAreThoseOfASkewedClock) {
  const auto set = synthesize_set(exact_params()).value();
  for (std::size_t k = 0; k < set.straps.size(); ++k) {
    const StrapRecord& strap = set.recording.straps[k];
    const StrapTruth& truth = set.straps[k];
    EXPECT_LE(std::abs(truth.skew_ppm), 50.0);
    EXPECT_NEAR(truth.rate_hz, 104.0, 1.04);
    const auto last = strap.t.size() - 1;
    const double span = static_cast<double>(last) / truth.rate_hz;
    EXPECT_NEAR(strap.t[last] - strap.t[0], span, 3e-6);
    const double ticks = static_cast<double>(strap.tick.back() - strap.tick.front());
    EXPECT_NEAR(ticks, 1e6 * span * (1.0 + 1e-6 * truth.skew_ppm), 2.0);
    EXPECT_EQ(strap.clock.skew_ppm, truth.skew_ppm);
    EXPECT_LT(std::abs(truth.clock_error_s), 5.0 * strap.clock.offset_u_s);
    EXPECT_GE(strap.t[0] - truth.clock_error_s, -1e-6);
  }
  EXPECT_NE(set.straps[0].skew_ppm, set.straps[1].skew_ppm);
}

TEST(SyntheticStrap, TiltAndTwistStayWithinWhatWasAsked) {
  const SquatMotion motion(exact_params());
  StrapSetup setup;
  setup.max_tilt = deg(15.0);
  setup.max_twist = deg(30.0);
  double most_tilt = 0.0;
  double most_twist = 0.0;
  for (std::uint64_t seed = 0; seed < 500; ++seed) {
    Random random(seed);
    const StrapMount mount = draw_mount(motion, kThigh, setup, random);
    const double tilt = std::acos(mount.segment_from_sensor(1, 0));  // sensor X from segment Y
    EXPECT_NEAR(tilt, mount.tilt, 1e-6);
    EXPECT_LE(tilt, deg(15.0) + 1e-9);
    most_tilt = std::max(most_tilt, tilt);
    most_twist = std::max(most_twist, std::abs(mount.twist));
  }
  EXPECT_GT(most_tilt, deg(14.5));
  EXPECT_GT(most_twist, deg(29.0));
  EXPECT_LE(most_twist, deg(30.0));
}

// At 110° of knee flexion the strap's turn against the bone has the asked RMS over many straps.
TEST(SyntheticStrap, SoftTissueTurnHasTheAskedSize) {
  SquatSetParams params = exact_params();
  params.tempo.bottom_hold = 3.0;  // the ringing has died down
  params.depth = deg(-10.0);
  const SquatMotion motion(params);
  const RepTruth rep = rep_truth(motion)[0];
  const double t = rep.turn_out_s - 0.3;
  const double pull = motion.measures(t).knee_flexion.left / deg(110.0);
  const Eigen::Matrix3d bone = motion.segment(kThigh, t).world_from_segment;
  double squares = 0.0;
  constexpr int kStraps = 2000;
  for (std::uint64_t seed = 0; seed < kStraps; ++seed) {
    Random random(seed);
    const StrapMount mount = draw_mount(motion, kThigh, {}, random);
    const Eigen::Matrix3d skin = bone.transpose() *
                                 strap_state(motion, mount, t).world_from_sensor *
                                 mount.segment_from_sensor.transpose();
    const double angle = std::acos(std::min(1.0, 0.5 * (skin.trace() - 1.0)));
    squares += angle * angle;
  }
  // 1 sigma of an RMS of 2000 draws: 1.6 %.
  EXPECT_NEAR(std::sqrt(squares / kStraps) / (deg(2.0) * pull), 1.0, 0.07);
}

TEST(SyntheticStrap, SameSeedSameReadingsWhateverElseIsWorn) {
  const SquatSetParams params = random_squat_params(11);
  const Recording all = synthesize(params).value();
  const Recording again = synthesize(params).value();
  const Recording alone = synthesize(params, one_strap()).value();
  const StrapRecord& worn = all.straps[2];
  ASSERT_EQ(worn.placement, kThigh);
  EXPECT_EQ(worn.counts, again.straps[2].counts);
  EXPECT_EQ(all.truth_json, again.truth_json);
  EXPECT_EQ(worn.counts, alone.straps[0].counts);
  EXPECT_EQ(worn.tick, alone.straps[0].tick);
  StrapSetup other = one_strap();
  other.seed = 2;
  const Recording differently = synthesize(params, other).value();
  EXPECT_NE(worn.counts.col(0), differently.straps[0].counts.col(0));
}

TEST(SyntheticStrap, EveryPlacementCanBeWorn) {
  StrapSetup setup;
  setup.placements = dsp::all_placements();
  const Recording recording = synthesize(exact_params(), setup).value();
  ASSERT_EQ(recording.straps.size(), dsp::all_placements().size());
  for (const StrapRecord& strap : recording.straps) {
    EXPECT_EQ(strap.counts.cols(), strap.t.size());
    EXPECT_EQ(strap.tick.size(), static_cast<std::size_t>(strap.t.size()));
    EXPECT_EQ(strap.part_name, "common_2019");
  }
  EXPECT_EQ(recording.source, "synthetic");
  EXPECT_FALSE(recording.description.client.empty());
  ASSERT_TRUE(recording.parts.align);
  EXPECT_LT(recording.parts.still->to_s, recording.parts.align->from_s);
  EXPECT_LT(recording.parts.align->to_s, recording.parts.set->from_s);
  EXPECT_LT(recording.parts.set->to_s, recording.parts.still_after->from_s);
}

}  // namespace
}  // namespace strapline::recordings::synthetic
