#include "strapline/coaching/cautions.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/coaching/wording_judgement.hpp"

namespace strapline::coaching {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

dsp::MeasuredValue metres(double value, double u = 0.002) { return {value, u, dsp::Unit::metre}; }

/// A set of full reps with one measure.
std::vector<dsp::Rep> reps_with(const std::string& measure, const std::vector<double>& values,
                                dsp::Unit unit, double u) {
  std::vector<dsp::Rep> reps(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    reps[i].measures[measure] = dsp::MeasuredValue{values[i], u, unit};
  }
  return reps;
}

CautionInput input_with(std::vector<dsp::Rep> reps) {
  CautionInput input;
  input.set.movement = "squat";
  input.set.started_utc = "2026-11-25T08:00:00Z";
  input.reps = std::move(reps);
  return input;
}

std::vector<CautionKind> kinds(const CautionInput& input) {
  std::vector<CautionKind> found;
  for (const Caution& caution : find_cautions(input)) {
    EXPECT_FALSE(caution.source.empty());
    found.push_back(caution.kind);
  }
  return found;
}

TEST(Cautions, NothingLoggedAndNothingMeasuredRaisesNone) {
  EXPECT_THAT(kinds(input_with({})), IsEmpty());
  EXPECT_THAT(kinds(input_with(std::vector<dsp::Rep>(8))), IsEmpty());
}

TEST(Cautions, PainAboveTheLimitAndNotAtIt) {
  CautionInput input = input_with({});
  input.set.pain = 0.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.set.pain = 1.0;  // strict unless agreed otherwise
  EXPECT_THAT(kinds(input), ElementsAre(CautionKind::pain_above_limit));
  input.limits.pain = 2.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.set.pain = 2.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.set.pain = 3.0;
  const auto cautions = find_cautions(input);
  ASSERT_EQ(cautions.size(), 1U);
  EXPECT_EQ(cautions[0].from, 2.0);
  EXPECT_EQ(cautions[0].to, 3.0);
}

TEST(Cautions, LoadAboveTheGreatestAgreedForTheMovement) {
  CautionInput input = input_with({});
  input.set.load_kg = 80.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.limits.load_kg["front_squat"] = 40.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.limits.load_kg["squat"] = 80.0;
  EXPECT_THAT(kinds(input), IsEmpty());
  input.limits.load_kg["squat"] = 79.0;
  EXPECT_THAT(kinds(input), ElementsAre(CautionKind::load_above_agreed));
  input.set.load_kg.reset();
  EXPECT_THAT(kinds(input), IsEmpty());
}

TEST(Cautions, ARangeLimitIsPassedOnlyBeyondItsUncertainty) {
  CautionInput input =
      input_with(reps_with("knee_flexion_left", {1.0, 1.62, 1.7}, dsp::Unit::radian, 0.04));
  input.limits.range["knee_flexion"] = {{}, 1.65};
  EXPECT_THAT(kinds(input), IsEmpty());  // 0.05 over at u 0.04
  input.limits.range["knee_flexion"] = {{}, 1.5};
  const auto cautions = find_cautions(input);
  ASSERT_EQ(cautions.size(), 1U);
  EXPECT_EQ(cautions[0].kind, CautionKind::range_beyond_agreed);
  EXPECT_EQ(cautions[0].rep, 2U);  // the furthest
  EXPECT_EQ(cautions[0].to, 1.7);
}

// OutsideAccustomed is given beyond one small step only.
TEST(Cautions, AJumpInLoadInRangeOrInBoth) {
  CautionInput input = input_with({});
  EXPECT_THAT(kinds(input), IsEmpty());
  input.accustomed = OutsideAccustomed{false, false, 40.0, 1.0};
  EXPECT_THAT(kinds(input), IsEmpty());
  input.accustomed = OutsideAccustomed{true, false, 40.0, 1.0};
  EXPECT_THAT(kinds(input), ElementsAre(CautionKind::jump_in_range));
  input.accustomed = OutsideAccustomed{false, true, 40.0, 1.0};
  EXPECT_THAT(kinds(input), ElementsAre(CautionKind::jump_in_load));
  EXPECT_THAT(say_caution(find_cautions(input).front(), ""),
              ::testing::HasSubstr("accustomed at this range is 40 kg"));
  input.accustomed = OutsideAccustomed{true, true, 40.0, 1.0};
  EXPECT_THAT(kinds(input), ElementsAre(CautionKind::new_load_at_new_range));
}

std::vector<CautionKind> knee_kinds(const std::vector<double>& cm, double u_m) {
  std::vector<double> metres;
  for (const double one : cm) metres.push_back(one / 100.0);
  return kinds(input_with(reps_with("knee_line_distance_left", metres, dsp::Unit::metre, u_m)));
}

TEST(Cautions, KneeLineGoingInwardsOverTheReps) {
  const auto fatigue = ElementsAre(CautionKind::knee_line_with_fatigue);
  EXPECT_THAT(knee_kinds({0, 0.5, 1, 1.6, 2.1, 2.6}, 0.01), fatigue);
  EXPECT_THAT(knee_kinds({0, 0.5, 1, 1.6}, 0.01), IsEmpty());            // too few reps
  EXPECT_THAT(knee_kinds({0, 0.5, 1, 1.6, 2.1, 2.6}, 0.03), IsEmpty());  // less than u
  EXPECT_THAT(knee_kinds({2.6, 2.1, 1.6, 1, 0.5, 0}, 0.01), IsEmpty());  // going outwards
  EXPECT_THAT(knee_kinds({-6, -5, -4, -3, -2, -1}, 0.01), IsEmpty());    // still outside the line
  EXPECT_THAT(knee_kinds({2, 0, 3, 1, 2.5, 0.5}, 0.01), IsEmpty());      // no trend
}

TEST(Cautions, TheAngleIsTakenWhereASideHasNoDistance) {
  auto input = input_with(reps_with("knee_line_angle_right", {0.0, 0.02, 0.04, 0.06, 0.08, 0.1},
                                    dsp::Unit::radian, 0.03));
  auto cautions = find_cautions(input);
  ASSERT_EQ(cautions.size(), 1U);
  EXPECT_EQ(cautions[0].measure, "knee_line_angle_right");
  EXPECT_NEAR(cautions[0].to, 0.1, 1e-9);
  for (dsp::Rep& rep : input.reps) rep.measures["knee_line_distance_right"] = metres(0.0);
  EXPECT_THAT(find_cautions(input), IsEmpty());
}

ComparedSet loaded_set(double kg, double knee_m, const std::string& date) {
  ComparedSet set;
  set.movement = "squat";
  set.started_utc = date;
  set.load_kg = kg;
  set.full_reps = 5;
  set.measures["knee_line_distance_left"] = summarise_reps(std::vector(5, metres(knee_m)));
  return set;
}

TEST(Cautions, KneeLineGoingInwardsWithTheLoadOfLikeRecentSets) {
  CautionInput input = input_with({});
  for (int i = 0; i < 6; ++i) {
    input.history.push_back(loaded_set(20.0 + 10 * i, 0.008 * i, "2026-11-1" + std::to_string(i)));
  }
  const auto cautions = find_cautions(input);
  ASSERT_EQ(cautions.size(), 1U);
  EXPECT_EQ(cautions[0].kind, CautionKind::knee_line_with_load);
  EXPECT_EQ(cautions[0].from_kg, 20.0);
  EXPECT_EQ(cautions[0].to_kg, 70.0);
  EXPECT_EQ(cautions[0].sets, 6);
  EXPECT_NEAR(cautions[0].to, 0.04, 1e-9);

  CautionInput other = input;
  other.set.variation = "heels raised";  // then these sets are not like it
  EXPECT_THAT(find_cautions(other), IsEmpty());
  CautionInput old = input;
  old.set.started_utc = "2027-06-01";  // long after them
  EXPECT_THAT(find_cautions(old), IsEmpty());
  CautionInput earlier = input;
  earlier.set.started_utc = "2026-11-13";  // only four were there by then
  EXPECT_THAT(find_cautions(earlier), IsEmpty());
  CautionInput same_load = input;
  for (ComparedSet& set : same_load.history) set.load_kg = 40.0;
  EXPECT_THAT(find_cautions(same_load), IsEmpty());
  CautionInput unlogged = input;
  for (ComparedSet& set : unlogged.history) set.load_kg.reset();
  EXPECT_THAT(find_cautions(unlogged), IsEmpty());
  CautionInput small = input;  // 1 cm from end to end: less than putting the straps on anew
  for (ComparedSet& set : small.history)
    set = loaded_set(*set.load_kg, (*set.load_kg - 20) / 5000, set.started_utc);
  EXPECT_THAT(find_cautions(small), IsEmpty());
}

std::optional<std::size_t> lost_at(const std::vector<double>& range_rad, double u) {
  const auto cautions =
      find_cautions(input_with(reps_with("range", range_rad, dsp::Unit::radian, u)));
  if (cautions.empty()) return std::nullopt;
  EXPECT_EQ(cautions[0].kind, CautionKind::sudden_loss_of_range);
  return cautions[0].rep;
}

TEST(Cautions, SuddenLossOfRange) {
  EXPECT_EQ(lost_at({1.6, 1.6, 1.6, 1.2}, 0.03), 3U);
  EXPECT_EQ(lost_at({1.6, 1.6, 1.6, 1.4}, 0.03), std::nullopt);  // 12.5 %
  EXPECT_EQ(lost_at({1.6, 1.6, 1.6, 1.2}, 0.2), std::nullopt);   // measuring could make it
  EXPECT_EQ(lost_at({1.6, 1.2}, 0.03), std::nullopt);            // one rep is no "before"
  EXPECT_EQ(lost_at({1.2, 1.6, 1.6, 1.6}, 0.03), std::nullopt);  // a short first one
}

TEST(Cautions, APartRepAtTheEndIsALossAndOneAtTheStartIsNoBefore) {
  auto reps = reps_with("range", {1.6, 1.6, 1.6, 0.5}, dsp::Unit::radian, 0.03);
  reps[3].part = true;
  EXPECT_EQ(find_cautions(input_with(reps)).at(0).rep, 3U);
  auto warming_up = reps_with("range", {0.5, 0.5, 1.6, 1.6}, dsp::Unit::radian, 0.03);
  warming_up[0].part = warming_up[1].part = true;
  EXPECT_THAT(find_cautions(input_with(warming_up)), IsEmpty());
}

TEST(Cautions, SuddenLossOfVelocity) {
  const auto at = [](double last) {
    return kinds(input_with(reps_with("concentric_velocity", {0.5, 0.5, 0.48, last},
                                      dsp::Unit::metre_per_second, 0.01)));
  };
  EXPECT_THAT(at(0.38), ElementsAre(CautionKind::sudden_loss_of_velocity));
  EXPECT_THAT(at(0.41), IsEmpty());  // 18 %
}

}  // namespace
}  // namespace strapline::coaching
