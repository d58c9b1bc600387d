// Straps on the feet: the toe line that follows a new stance, the ankle's flexion, and what both
// say of their own errors. Feet turn out by another amount after the easy bends (the walk-out).

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/cli/synthetic_study.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;
using dsp::Segment;
using dsp::Side;
using synthetic::deg;

/// A plumb client who does not sway, with ideal sensors on bone, who places the feet anew by
/// `toe_out` further.
synthetic::SyntheticSet exact_set(double toe_out, bool feet) {
  synthetic::SquatSetParams params;
  params.seed = 11;
  params.reps = 10;
  params.posture.shank_lean = params.posture.thigh_lean = deg(0.25);
  params.parts.align_knee_sd = 0.0;
  params.sway = params.knee_wander = 0.0;
  params.restance.toe_out = {toe_out, toe_out};
  synthetic::StrapSetup setup;
  setup.part = "ideal";
  setup.soft_tissue = synthetic::scaled(setup.soft_tissue, 0.0);
  if (feet) {
    setup.placements.push_back({Segment::foot, Side::left});
    setup.placements.push_back({Segment::foot, Side::right});
  }
  return synthetic::synthesize_set(params, setup).value();
}

dsp::SetAnalysis analysed(const synthetic::SyntheticSet& set) {
  return dsp::analyse_set(to_set_input(set.recording, "").value()).value();
}

/// Largest error of a measure over the reps, SI.
double worst(const synthetic::SyntheticSet& set, const dsp::SetAnalysis& seen,
             const std::string& name) {
  double error = 0.0;
  EXPECT_EQ(seen.reps.size(), set.reps.size());
  for (std::size_t k = 0; k < std::min(seen.reps.size(), set.reps.size()); ++k) {
    const auto* value = std::get_if<dsp::MeasuredValue>(&seen.reps[k].measures.at(name));
    if (value == nullptr) {
      ADD_FAILURE() << name << ": "
                    << std::get<dsp::NotMeasured>(seen.reps[k].measures.at(name)).reason;
      continue;
    }
    error = std::max(error, std::abs(value->value - set.reps[k].value(name)));
  }
  return error;
}

TEST(Foot, TheToeLineFollowsANewStance) {
  for (const double toe_out : {-10.0, 12.0}) {
    const auto with = exact_set(deg(toe_out), true);
    const auto without = exact_set(deg(toe_out), false);
    const auto seen = analysed(with), blind = analysed(without);
    for (const std::string side : {"_left", "_right"}) {
      EXPECT_LT(worst(with, seen, "knee_line_distance" + side), 0.006) << toe_out << side;
      EXPECT_LT(worst(with, seen, "knee_travel" + side), 0.006) << toe_out << side;
    }
    // What the strap on the foot is for: without it a new stance looks like a gyroscope's drift,
    // too little in the first reps and too much in the last. Metres, at depth: most inward a knee
    // is near standing here, where the toe line hardly matters.
    EXPECT_LT(worst(with, seen, "knee_line_distance_at_turn_left"), 0.003) << toe_out;
    EXPECT_GT(worst(without, blind, "knee_line_distance_at_turn_left"), 0.02) << toe_out;
  }
}

TEST(Foot, AnkleFlexionIsZeroStandingAndPositiveWithTheShinOverTheToes) {
  const auto set = exact_set(deg(8.0), true);
  const auto seen = analysed(set);
  for (const std::string side : {"_left", "_right"}) {
    EXPECT_LT(worst(set, seen, "ankle_flexion" + side), deg(0.7)) << side;
    EXPECT_GT(set.reps.front().value("ankle_flexion" + side), deg(20.0));
    const auto trace = std::find_if(seen.traces.begin(), seen.traces.end(), [&](const auto& one) {
      return one.name == "ankle_flexion" + side;
    });
    ASSERT_NE(trace, seen.traces.end());
    const dsp::Interval still = *set.recording.parts.still;
    double sum = 0.0, count = 0.0;
    for (Eigen::Index i = 0; i < seen.t.size(); ++i) {
      if (seen.t[i] < still.from_s || seen.t[i] > still.to_s) continue;
      sum += trace->value[i];
      count += 1.0;
    }
    EXPECT_NEAR(sum / count, 0.0, deg(0.05));
  }
}

TEST(Foot, WithoutItsStrapTheAnkleIsNotMeasuredAndSaysWhatWould) {
  const auto seen = analysed(exact_set(0.0, false));
  const auto* missing =
      std::get_if<dsp::NotMeasured>(&seen.reps.front().measures.at("ankle_flexion_left"));
  ASSERT_NE(missing, nullptr);
  EXPECT_EQ(missing->reason, "needs a strap on left_foot");
}

StudyResult study_of(const std::string& movement, int sets, std::uint64_t seed) {
  StudyOptions options;
  options.movement = movement;
  options.sets = sets;
  options.seed = seed;
  options.feet = true;
  return run_synthetic_study(options);
}

void expect_good(const StudyResult& study, const std::string& measure, double rmse) {
  ASSERT_TRUE(study.errors.contains(measure)) << measure;
  const MeasureError& error = study.errors.at(measure);
  EXPECT_EQ(error.missing, 0) << measure;
  EXPECT_LE(error.rmse, rmse) << measure;
  EXPECT_GE(error.coverage95, 0.90) << measure;
}

// Random clients, straps tilted by up to 15°, feet placed anew by some degrees: `verify --feet`.
TEST(Foot, SquatsKeepTheirBoundsWithFeetPlacedAnew) {
  const StudyResult study = study_of("squat", 30, 5200);
  EXPECT_TRUE(study.failures.empty());
  EXPECT_EQ(study.sets_with_exact_count, study.sets);
  expect_good(study, "ankle_flexion", 1.5);       // degrees
  expect_good(study, "knee_line_distance", 1.5);  // cm
  expect_good(study, "knee_travel", 2.5);         // cm
}

// The rear foot stands on its toes, a lunge's foot swings: the measure is of the working leg.
TEST(Foot, LungesKeepTheirBounds) {
  const StudyResult study = study_of("lunge", 20, 5300);
  EXPECT_TRUE(study.failures.empty());
  expect_good(study, "ankle_flexion", 2.0);  // degrees
}

}  // namespace
}  // namespace strapline::cli
