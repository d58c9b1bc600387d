// Laws of a squat's measures: the mirror, the sensor turned in its housing, and a strap tilted by
// 5, 10 and 20 degrees on the same client.

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;
using dsp::Side;
using synthetic::deg;

constexpr const char* kLegMeasures[] = {"thigh_depth",     "knee_flexion", "knee_line_distance",
                                        "knee_line_angle", "knee_travel",  "hip_flexion"};

/// A client who stands plumb and bends over the toes: what is left is the straps'.
synthetic::SyntheticSet squat_set(std::uint64_t seed, double tilt) {
  synthetic::RandomRanges ranges;
  ranges.posture_sd = 0.0;
  ranges.align_knee_sd = 0.0;
  synthetic::SquatSetParams params = synthetic::random_squat_params(seed, ranges);
  params.parts.align_knee_sd = 0.0;
  synthetic::StrapSetup setup;
  setup.seed = seed;
  setup.max_tilt = tilt;
  return synthetic::synthesize_set(params, setup).value();
}

dsp::SetInput input_of(const synthetic::SyntheticSet& set) {
  return to_set_input(set.recording, "").value();
}

dsp::SetInput mirrored(dsp::SetInput input) {
  for (dsp::StrapSeries& strap : input.straps) {
    Side& side = strap.placement.side;
    if (side != Side::middle) side = side == Side::left ? Side::right : Side::left;
    strap.data.acc.row(2) *= -1.0;
    strap.data.gyr.topRows(2) *= -1.0;
  }
  return input;
}

dsp::SetInput turned_in_the_housing(dsp::SetInput input) {
  const Eigen::Quaterniond turn = dsp::exp_rotation({1.1, -0.4, 2.0});
  for (dsp::StrapSeries& strap : input.straps) {
    for (Eigen::Index i = 0; i < strap.data.size(); ++i) {
      strap.data.acc.col(i) = turn * strap.data.acc.col(i);
      strap.data.gyr.col(i) = turn * strap.data.gyr.col(i);
    }
  }
  return input;
}

void expect_same(const dsp::Measure& one, const dsp::Measure& other, const std::string& what,
                 double within) {
  ASSERT_EQ(one.index(), other.index()) << what;
  if (one.index() != 0) return;
  EXPECT_NEAR(std::get<0>(one).value, std::get<0>(other).value, within) << what;
  EXPECT_NEAR(std::get<0>(one).u, std::get<0>(other).u, within) << what;
}

TEST(LegLaws, AMirroredSetHasMirroredMeasures) {
  const dsp::SetInput input = input_of(squat_set(7300, deg(15.0)));
  const auto one = dsp::analyse_set(input).value();
  const auto other = dsp::analyse_set(mirrored(input)).value();
  ASSERT_EQ(one.reps.size(), other.reps.size());
  for (std::size_t k = 0; k < one.reps.size(); ++k) {
    for (const std::string base : kLegMeasures) {
      expect_same(one.reps[k].measures.at(base + "_left"),
                  other.reps[k].measures.at(base + "_right"), base, 1e-3);
    }
  }
}

TEST(LegLaws, ASensorTurnedInItsHousingMeasuresTheSame) {
  const dsp::SetInput input = input_of(squat_set(7301, deg(15.0)));
  const auto one = dsp::analyse_set(input).value();
  const auto other = dsp::analyse_set(turned_in_the_housing(input)).value();
  ASSERT_EQ(one.reps.size(), other.reps.size());
  for (std::size_t k = 0; k < one.reps.size(); ++k) {
    for (const std::string base : kLegMeasures) {
      expect_same(one.reps[k].measures.at(base + "_left"),
                  other.reps[k].measures.at(base + "_left"), base, 1e-3);
    }
  }
}

/// RMS error of the knee line (distance, most inward) over a dozen sets, m.
double knee_line_error(double tilt) {
  double squares = 0.0, count = 0.0;
  for (std::uint64_t seed = 7310; seed < 7322; ++seed) {
    const synthetic::SyntheticSet set = squat_set(seed, tilt);
    const auto seen = dsp::analyse_set(input_of(set)).value();
    EXPECT_EQ(seen.reps.size(), set.reps.size());
    for (std::size_t k = 0; k < std::min(seen.reps.size(), set.reps.size()); ++k) {
      for (const std::string name : {"knee_line_distance_left", "knee_line_distance_right"}) {
        const double truth = set.reps[k].measures.at(name).value;
        const double error =
            std::get<dsp::MeasuredValue>(seen.reps[k].measures.at(name)).value - truth;
        squares += error * error;
        count += 1.0;
      }
    }
  }
  return std::sqrt(squares / count);
}

// A tilted strap turns flexion into sideways motion (axis cross-talk): at 60° of shank and thigh
// motion, 20° of tilt left in would be worth 10 cm and more.
TEST(LegLaws, TiltedStrapsDoNotBendTheKneeLine) {
  for (const double tilt : {5.0, 10.0, 20.0}) {
    EXPECT_LE(knee_line_error(deg(tilt)), 0.010) << tilt;
  }
}

}  // namespace
}  // namespace strapline::cli
