// Every built-in movement from the simulator through the whole analysis, a few sets of each, clean
// and disturbed; `verify --movement all --disturbances` prints the same on a hundred.

#include <algorithm>

#include <gtest/gtest.h>

#include "strapline/cli/synthetic_study.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/recordings/synthetic/set_choice.hpp"

namespace strapline::cli {
namespace {

class EveryMovement : public ::testing::TestWithParam<std::string> {};

INSTANTIATE_TEST_SUITE_P(EndToEnd, EveryMovement,
                         ::testing::ValuesIn(recordings::synthetic::simulated_movements()),
                         [](const auto& one) { return one.param; });

TEST_P(EveryMovement, CleanSetsAreCountedExactlyWithTheirBordersAndSides) {
  StudyOptions options;
  options.movement = GetParam();
  options.sets = 5;
  options.seed = 6100;
  const StudyResult study = run_synthetic_study(options);
  EXPECT_TRUE(study.failures.empty());
  EXPECT_EQ(study.sets_with_exact_count, study.sets);
  EXPECT_EQ(study.missed + study.invented + study.part_false, 0);
  EXPECT_EQ(study.wrong_side, 0);
  EXPECT_LE(study.errors.at("border_s").mean_abs, 0.040);
  ASSERT_TRUE(study.errors.contains("concentric_velocity"));
  EXPECT_EQ(study.errors.at("concentric_velocity").missing, 0);
  EXPECT_LE(study.errors.at("concentric_velocity").rmse, 0.12);  // m/s; from 0.01 to 0.07 measured
}

TEST_P(EveryMovement, DisturbedSetsAreCountedExactlyWithTheirPartReps) {
  // Walk-out, re-grip, strap handling, a pause, two part reps, a last rep that grinds.
  StudyOptions options;
  options.movement = GetParam();
  options.sets = 2;
  options.seed = 6200;
  options.disturbances = recordings::synthetic::all_disturbances();
  const StudyResult study = run_synthetic_study(options);
  EXPECT_TRUE(study.failures.empty());
  EXPECT_EQ(study.sets_with_exact_count, study.sets);
  EXPECT_EQ(study.part_found, study.part_reps);
  EXPECT_EQ(study.missed + study.invented + study.part_false, 0);
  EXPECT_EQ(study.wrong_side, 0);
  EXPECT_LE(study.errors.at("border_s").mean_abs, 0.040);
}

TEST(EverydayMovement, HasNoReps) {
  StudyOptions options;
  options.seed = 6300;
  for (const IdleOutcome& row : run_idle_study(options, 3.0)) {
    EXPECT_EQ(row.failure, "");
    EXPECT_EQ(row.counted + row.part_counted, 0) << row.expected;
  }
}

TEST(BuiltInMovements, HaveASimulatorEachButTheFreeOne) {
  std::vector<std::string> known = recordings::synthetic::simulated_movements();
  known.emplace_back("free");
  std::sort(known.begin(), known.end());
  EXPECT_EQ(known, coaching::built_in_movements());
}

}  // namespace
}  // namespace strapline::cli
