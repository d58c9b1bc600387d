#include <cmath>
#include <limits>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// Drillis & Contini 1964, in Winter: shares of the body height.
TEST(SyntheticParams, LengthsFollowFromTheHeight) {
  BodyBuild body;
  body.height = 1.80;
  BodyLengths lengths = lengths_of(body);
  EXPECT_NEAR(lengths.thigh, 0.441, 1e-9);       // 0.245
  EXPECT_NEAR(lengths.shank, 0.4428, 1e-9);      // 0.246
  EXPECT_NEAR(lengths.foot, 0.2736, 1e-9);       // 0.152
  EXPECT_NEAR(lengths.upper_arm, 0.3348, 1e-9);  // 0.186
  EXPECT_NEAR(lengths.forearm, 0.2628, 1e-9);    // 0.146
  body.shank = 0.4;
  lengths = lengths_of(body);
  EXPECT_EQ(lengths.shank, 0.4);
  EXPECT_NEAR(lengths.thigh, 0.441, 1e-9);
}

// The C++ standard, [rand.predef]: the 10000th value of a default mt19937_64.
TEST(SyntheticRandom, EngineIsTheStandards) {
  std::mt19937_64 engine;
  engine.discard(9999);
  EXPECT_EQ(engine(), 9981545732273789042ULL);
}

TEST(SyntheticRandom, NormalsHaveTheMomentsOfANormal) {
  Random random(1);
  constexpr int kDraws = 200000;
  double sum = 0.0, squares = 0.0, fourth = 0.0;
  for (int i = 0; i < kDraws; ++i) {
    const double z = random.normal();
    sum += z;
    squares += z * z;
    fourth += z * z * z * z;
  }
  // 5 sigma of each estimate.
  EXPECT_NEAR(sum / kDraws, 0.0, 0.0112);
  EXPECT_NEAR(squares / kDraws, 1.0, 0.0158);
  EXPECT_NEAR(fourth / kDraws, 3.0, 0.11);
}

TEST(SyntheticRandom, StreamsOfOneSeedDiffer) {
  Random a(1, 0), b(1, 1), again(1, 0);
  const double first = a.uniform();
  EXPECT_NE(first, b.uniform());
  EXPECT_EQ(first, again.uniform());
}

TEST(SyntheticParams, RandomSetsRespectTheirRanges) {
  RandomRanges ranges;
  ranges.depth = {deg(-5.0), deg(5.0)};
  double least = 1.0, most = -1.0;
  for (std::uint64_t seed = 0; seed < 300; ++seed) {
    const SquatSetParams p = random_squat_params(seed, ranges);
    least = std::min(least, p.depth);
    most = std::max(most, p.depth);
    EXPECT_GE(p.reps, 3);
    EXPECT_LE(p.reps, 10);
    EXPECT_GE(p.posture.shank_lean + p.posture.thigh_lean, deg(0.5));
  }
  EXPECT_GE(least, deg(-5.0));
  EXPECT_LE(most, deg(5.0));
  EXPECT_GT(most - least, deg(9.0));
}

// A straight knee sways through straight, where no knee line is within reach.
TEST(SyntheticParams, WhoStandsPlumbHasStraightKneesAndSquats) {
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    SquatSetParams p = random_squat_params(seed, SquatMovement::squat, {0.0, 0.0});
    EXPECT_EQ(p.posture.shank_lean, 0.0);
    EXPECT_EQ(p.posture.thigh_lean, 0.0);
    const auto made = synthesize_set(p);
    ASSERT_TRUE(made) << made.error().line();
    EXPECT_EQ(static_cast<int>(made->reps.size()), p.reps);
    for (const RepTruth& rep : made->reps) {
      EXPECT_TRUE(std::isfinite(rep.value("knee_line_distance_left")));
    }
  }
}

// Three scales of 0.5 % and six cross-axis entries of 0.3 %.
TEST(SyntheticParams, TheGainsStatedErrorIsTheRmsOfItsEntries) {
  const dsp::SensorErrors errors = errors_of(*sensor_part("common_2019"));
  EXPECT_NEAR(errors.gyr_gain_sd, std::sqrt((3.0 * 25.0 + 6.0 * 9.0) / 9.0) * 1e-3, 1e-12);
  EXPECT_EQ(errors.acc_cross_axis_sd, 0.003);
}

TEST(SyntheticParams, StatedBodyIsTheTapesOrTheHeightOnly) {
  SquatSetParams params = exact_params();
  const Recording taped = synthesize(params).value();
  EXPECT_NEAR(*taped.body.shank, 0.246 * 1.75, 0.0126);
  params.body.lengths_known = false;
  const Recording tall = synthesize(params).value();
  EXPECT_EQ(*tall.body.height, 1.75);
  EXPECT_FALSE(tall.body.thigh || tall.body.shank || tall.body.foot);
}

void expect_failure(const SquatSetParams& params, const StrapSetup& setup, const char* words) {
  const auto made = synthesize(params, setup);
  ASSERT_FALSE(made) << words;
  EXPECT_THAT(made.error().line(), HasSubstr(words));
  EXPECT_THAT(made.error().line(), Not(HasSubstr("\n")));
}

TEST(SyntheticParams, NonsenseGetsOneClearLine) {
  SquatSetParams params = exact_params();
  params.body.height = -1.0;
  expect_failure(params, {}, "height is -1 m");
  params = exact_params();
  params.depth = std::numeric_limits<double>::quiet_NaN();
  expect_failure(params, {}, "depth is nan");
  params = exact_params();
  params.posture.thigh_lean = deg(-4.0);
  expect_failure(params, {}, "standing knee flexion");
  params = exact_params();
  params.knee_line.left = cm(60.0);
  expect_failure(params, {}, "the left leg cannot reach its knee line");
  params = exact_params();
  params.depth = deg(40.0);
  params.shank_lean_per_travel = 0.9;
  expect_failure(params, {}, "the knee would flex by");
}

TEST(SyntheticParams, WrongStrapsGetOneClearLine) {
  StrapSetup setup;
  setup.part = "marvellous";
  expect_failure(exact_params(), setup, "marvellous: unknown sensor part; choose one of");
  setup = {};
  setup.placements.clear();
  expect_failure(exact_params(), setup, "no strap is worn");
  setup.placements = {{dsp::Segment::shank, dsp::Side::left},
                      {dsp::Segment::shank, dsp::Side::left}};
  expect_failure(exact_params(), setup, "left_shank: two straps on one place");
  setup = {};
  setup.rate_hz = 0.0;
  expect_failure(exact_params(), setup, "rate");
}

}  // namespace
}  // namespace strapline::recordings::synthetic
