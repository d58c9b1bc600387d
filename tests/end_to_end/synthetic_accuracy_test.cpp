// The bounds that the project promises for squats on synthetic sets (random body, depth, tempo,
// knee line; straps tilted by up to 15°; noise of a named common part). `strapline verify` prints
// the same study on 200 sets; here 60 of other seeds, so that the suite stays quick.

#include <gtest/gtest.h>

#include "strapline/cli/synthetic_study.hpp"

namespace strapline::cli {
namespace {

void expect_every_rep_counted(const StudyResult& study) {
  EXPECT_TRUE(study.failures.empty());
  EXPECT_EQ(study.sets_with_exact_count, study.sets);
  EXPECT_GT(study.reps, 200);
}

void expect_within(const StudyResult& study, const std::string& measure, double rmse) {
  ASSERT_TRUE(study.errors.contains(measure)) << measure;
  EXPECT_LE(study.errors.at(measure).rmse, rmse) << measure;
}

void expect_truth_covered(const StudyResult& study) {
  for (const auto& [name, error] : study.errors) {
    EXPECT_EQ(error.missing, 0) << name;
    if (name == "border_s") continue;  // the durations carry the borders' uncertainty
    EXPECT_GE(error.coverage95, 0.90) << name;
  }
}

// One test, since every test is a process of its own and the study is what takes the time.
TEST(SyntheticAccuracy, KeepsItsBounds) {
  StudyOptions options;
  options.sets = 60;
  options.seed = 5000;
  const StudyResult study = run_synthetic_study(options);
  expect_every_rep_counted(study);
  expect_within(study, "thigh_depth", 3.0);                 // degrees
  expect_within(study, "knee_flexion", 3.0);                // degrees
  expect_within(study, "knee_line_distance", 1.5);          // cm
  expect_within(study, "knee_line_distance_at_turn", 1.5);  // cm
  EXPECT_LE(study.errors.at("border_s").mean_abs, 0.060);   // s
  expect_truth_covered(study);
}

}  // namespace
}  // namespace strapline::cli
