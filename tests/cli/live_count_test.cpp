// The live count against sets whose reps are known, and against the analysis after the set.
#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/cli/live_study.hpp"
#include "strapline/cli/synthetic_study.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;

TEST(LiveCount, IsRightOnSyntheticSquats) {
  int right = 0;
  constexpr int kSets = 25;
  for (std::uint64_t seed = 500; seed < 500 + kSets; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    synthetic::StrapSetup setup;
    setup.seed = seed;
    setup.max_tilt = synthetic::deg(15.0);
    setup.placements = {{dsp::Segment::chest, dsp::Side::middle},
                        {dsp::Segment::thigh, dsp::Side::left}};
    const auto made = synthetic::synthesize_set(synthetic::random_squat_params(seed), setup);
    ASSERT_TRUE(made) << made.error().line();
    const auto input = to_set_input(made->recording);
    ASSERT_TRUE(input) << input.error().line();
    int truth = 0;
    for (const auto& rep : made->reps) truth += rep.part ? 0 : 1;
    int live = 0;
    for (const dsp::LiveRep& rep : play_live(*input).reps)
      live += rep.part || rep.withdrawn ? 0 : 1;
    EXPECT_EQ(live, truth);
    right += live == truth ? 1 : 0;
  }
  RecordProperty("sets_counted_right", right);
}

TEST(LiveCount, OfWhateverRepeatsAgreesWithTheAnalysis) {
  LiveAgreement all;
  for (std::uint64_t seed = 700; seed < 708; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const synthetic::FreeSet free = synthetic::random_free_set(seed);
    synthetic::StrapSetup setup = free.straps;
    setup.seed = seed;
    auto made = synthetic::synthesize_set(free.params, setup);
    ASSERT_TRUE(made) << made.error().line();
    made->recording.description.movement = synthetic::kFree;
    const auto input = to_set_input(made->recording);
    ASSERT_TRUE(input) << input.error().line();
    const auto after = dsp::analyse_set(*input);
    ASSERT_TRUE(after) << after.error().line();
    const LivePlay live = play_live(*input);
    const LiveAgreement one = compare_live(live, after->reps);
    EXPECT_EQ(one.twice, 0);
    EXPECT_EQ(one.missed + one.extra, 0);
    all.add(one);
  }
  EXPECT_GE(all.share(), 0.99);
  EXPECT_LE(all.latency(0.5), 0.15);  // s
}

class LiveCountOf : public ::testing::TestWithParam<const char*> {};

/// One movement for each range angle: how it is found from the straps differs.
TEST_P(LiveCountOf, ItsOwnAngleAgreesWithTheAnalysis) {
  StudyOptions options;
  options.movement = GetParam();
  options.live = true;
  options.sets = 2;
  options.seed = 730;
  const StudyResult study = run_synthetic_study(options);
  EXPECT_GE(study.live.reps, 6);
  EXPECT_EQ(study.live.agreed, study.live.reps);
  EXPECT_EQ(study.live.extra + study.live.twice, 0);
  EXPECT_LE(study.live.latency(0.5), 0.15);  // s
}

INSTANTIATE_TEST_SUITE_P(RangeAngles, LiveCountOf,
                         ::testing::Values("front_squat", "split_squat", "hip_hinge", "push_up",
                                           "overhead_press"));

}  // namespace
}  // namespace strapline::cli
