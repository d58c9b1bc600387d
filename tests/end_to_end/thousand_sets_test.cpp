// What the project promises of a thousand synthetic sets of plumb clients in straps put on badly,
// with soft tissue and on firm limbs: minutes each, so only with STRAPLINE_LONG set
// (`bash tests/run.sh --long`). Every seed is as good as any other.

#include <cstdlib>

#include <gtest/gtest.h>

#include "strapline/cli/synthetic_study.hpp"

namespace strapline::cli {
namespace {

using recordings::synthetic::deg;

class ThousandSets : public ::testing::Test {
 protected:
  void SetUp() override {
    if (std::getenv("STRAPLINE_LONG") == nullptr) {
      GTEST_SKIP() << "SKIPPED: a slow study, run with STRAPLINE_LONG=1";
    }
  }
};

StudyResult study_of(const char* movement, double soft_tissue) {
  StudyOptions options;
  options.movement = movement;
  options.sets = 1000;
  options.seed = 5000;
  options.max_tilt = deg(20.0);
  options.spread = {0.0, 0.0};
  options.soft_tissue = soft_tissue;
  return run_synthetic_study(options);
}

void expect_kept(const StudyResult& study, const char* measure, double rmse) {
  ASSERT_TRUE(study.errors.contains(measure)) << measure;
  const MeasureError& error = study.errors.at(measure);
  EXPECT_LE(error.rmse, rmse) << measure;
  EXPECT_GE(error.coverage95, 0.93) << measure;
  EXPECT_LE(error.coverage95, 0.98) << measure;
}

/// On firm limbs half of each bound is promised.
void expect_squats_kept(const StudyResult& study, double share) {
  expect_kept(study, "thigh_depth", share * 2.5);
  expect_kept(study, "knee_flexion", share * 2.5);
  expect_kept(study, "knee_line_distance", share * 1.0);
  expect_kept(study, "knee_line_distance_at_turn", share * 1.0);
  expect_kept(study, "knee_line_angle", share * 2.5);
  expect_kept(study, "trunk_lean", share * 1.5);
}

TEST_F(ThousandSets, SquatsWithSoftTissue) { expect_squats_kept(study_of("squat", 1.0), 1.0); }

TEST_F(ThousandSets, SquatsOnFirmLimbs) { expect_squats_kept(study_of("squat", 0.0), 0.5); }

TEST_F(ThousandSets, PushUpsWithSoftTissue) {
  const StudyResult study = study_of("push_up", 1.0);
  expect_kept(study, "elbow_flare", 4.0);
  expect_kept(study, "trunk_lean", 1.5);
}

TEST_F(ThousandSets, PushUpsOnFirmLimbs) {
  const StudyResult study = study_of("push_up", 0.0);
  expect_kept(study, "elbow_flare", 2.0);
  expect_kept(study, "trunk_lean", 0.75);
}

}  // namespace
}  // namespace strapline::cli
