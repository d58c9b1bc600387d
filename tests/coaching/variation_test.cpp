#include "strapline/coaching/variation.hpp"

#include <cmath>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace strapline::coaching {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kDegree = std::numbers::pi / 180.0;

dsp::MeasuredValue degrees(double value, double u) {
  return {value * kDegree, u * kDegree, dsp::Unit::radian};
}

/// Four like reps: flare on both sides, bent to 105°, body straight, lowered in so many seconds.
JudgedSet push_ups(double flare, double lowering_s = 1.5) {
  JudgedSet set;
  set.movement = "push_up";
  for (int k = 0; k < 4; ++k) {
    dsp::Rep rep;
    rep.measures = {{"elbow_flare_left", degrees(flare - 1.0, 3.5)},
                    {"elbow_flare_right", degrees(flare + 1.0, 3.5)},
                    {"elbow_flexion_left", degrees(105.0, 2.0)},
                    {"elbow_flexion_right", degrees(105.0, 2.0)},
                    {"body_line", degrees(2.0, 2.0)},
                    {"lowering_s", dsp::MeasuredValue{lowering_s, 0.03, dsp::Unit::second}}};
    set.reps.push_back(rep);
  }
  return set;
}

std::vector<Aim> aims(const std::vector<std::string>& names) {
  std::vector<Aim> all;
  for (const std::string& name : names) all.push_back(load_aim(name).value());
  return all;
}

const std::vector<std::string> kFlares{"push_up_close", "push_up_half_flared",
                                       "push_up_wide_elbows"};

TEST(Variation, ElbowsTellPushUpsApart) {
  EXPECT_EQ(nearest_variation(aims(kFlares), push_ups(12.0)).fits[0].aim, "push_up_close");
  EXPECT_EQ(nearest_variation(aims(kFlares), push_ups(38.0)).fits[0].aim, "push_up_half_flared");
  EXPECT_EQ(nearest_variation(aims(kFlares), push_ups(78.0)).fits[0].aim, "push_up_wide_elbows");
  EXPECT_TRUE(nearest_variation(aims(kFlares), push_ups(38.0)).told);
}

TEST(Variation, BetweenTwoAimsItCannotBeTold) {
  const VariationGuess guess = nearest_variation(aims(kFlares), push_ups(30.0));
  EXPECT_FALSE(guess.told);
  EXPECT_THAT(say_variation(guess), HasSubstr("cannot be told"));
  EXPECT_THAT(say_variation(guess), HasSubstr("elbows close"));
  EXPECT_THAT(say_variation(guess), HasSubstr("30 to 45°"));
}

TEST(Variation, FarFromAllAimsItIsNoneOfThem) {
  const VariationGuess guess = nearest_variation(aims({"push_up_close"}), push_ups(85.0));
  EXPECT_FALSE(guess.told);
  EXPECT_EQ(guess.fits[0].aim, "");
  EXPECT_THAT(say_variation(guess), HasSubstr("near none of the aims"));
}

// One band of 30–45°, value 38° with u 3° and 5° of what people stay from it: blur √34 = 5.831°.
// Φ(7/5.831) − Φ(−8/5.831) = 0.8850 − 0.0850 = 0.8000 (table of the normal distribution); against
// none: 0.8000/15 to 1/90, so 4.80 to 1.
TEST(Variation, ProbabilityOfOneBandIsAsWorkedOutByHand) {
  Aim aim;
  aim.name = aim.title = "half";
  aim.movement = "push_up";
  AimBand band;
  band.measure = "elbow_flare";
  band.unit = dsp::Unit::radian;
  band.at = {{0.0, {30.0 * kDegree, 45.0 * kDegree}}};
  aim.bands = {band};
  JudgedSet set;
  set.movement = "push_up";
  set.reps.resize(1);
  set.reps[0].measures["elbow_flare_left"] = degrees(38.0, 3.0);
  const VariationGuess guess = nearest_variation({aim}, set);
  ASSERT_EQ(guess.fits.size(), 2U);
  EXPECT_NEAR(guess.fits[0].probability, 4.80 / 5.80, 5e-4);
  EXPECT_TRUE(guess.told);
  EXPECT_THAT(say_variation(guess), HasSubstr("Nearest of the aims: half (83 %)"));
}

TEST(Variation, ProbabilitiesSumToOneAndLessCertainValuesTellLess) {
  JudgedSet sure = push_ups(38.0), unsure = push_ups(38.0);
  for (dsp::Rep& rep : unsure.reps) {
    rep.measures["elbow_flare_left"] = degrees(38.0, 20.0);
    rep.measures["elbow_flare_right"] = degrees(38.0, 20.0);
  }
  const VariationGuess a = nearest_variation(aims(kFlares), sure);
  const VariationGuess b = nearest_variation(aims(kFlares), unsure);
  double sum = 0.0;
  for (const VariationFit& fit : a.fits) sum += fit.probability;
  EXPECT_NEAR(sum, 1.0, 1e-12);
  EXPECT_GT(a.fits[0].probability, b.fits[0].probability);
  EXPECT_FALSE(b.told);
}

TEST(Variation, WithoutAnAimOrAMeasureNothingIsSaid) {
  EXPECT_THAT(nearest_variation(aims({"squat_parallel"}), push_ups(38.0)).fits, IsEmpty());
  JudgedSet empty = push_ups(38.0);
  for (dsp::Rep& rep : empty.reps) rep.measures.clear();
  EXPECT_THAT(nearest_variation(aims(kFlares), empty).fits, IsEmpty());
  EXPECT_THAT(say_variation({}), HasSubstr("cannot be told"));
}

TEST(Variation, PartRepsAreLeftOut) {
  JudgedSet set = push_ups(38.0);
  dsp::Rep part = push_ups(85.0).reps[0];
  part.part = true;
  set.reps.push_back(part);
  EXPECT_DOUBLE_EQ(nearest_variation(aims(kFlares), set).fits[0].probability,
                   nearest_variation(aims(kFlares), push_ups(38.0)).fits[0].probability);
}

}  // namespace
}  // namespace strapline::coaching
