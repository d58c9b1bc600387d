// The live count against sets whose reps are known, and against the analysis after the set.
#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/cli/live_study.hpp"
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

}  // namespace
}  // namespace strapline::cli
