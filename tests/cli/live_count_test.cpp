// The live count against sets whose reps are known, and against the analysis after the set.
#include <gtest/gtest.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/dsp/live_set_counter.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;

/// Plays all straps as they would come in, with the count begun where the set part begins.
int live_count(const dsp::SetInput& input, double set_from_s) {
  std::vector<dsp::Placement> worn;
  for (const auto& strap : input.straps) worn.push_back(strap.placement);
  dsp::LiveSetCounter counter(worn, input.movement);
  std::vector<Eigen::Index> next(input.straps.size(), 0);
  bool begun = false;
  for (double t = 0.0;; t += 0.05) {
    bool more = false;
    if (!begun && t >= set_from_s) {
      counter.begin_set();
      begun = true;
    }
    for (std::size_t s = 0; s < worn.size(); ++s) {
      const auto& data = input.straps[s].data;
      for (; next[s] < data.size() && data.t[next[s]] < t; ++next[s]) {
        counter.update(s, data.t[next[s]], data.gyr.col(next[s]), data.acc.col(next[s]));
      }
      more = more || next[s] < data.size();
    }
    if (!more) return counter.full_reps();
  }
}

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
    const int live = live_count(*input, input->parts.set->from_s);
    EXPECT_EQ(live, truth);
    right += live == truth ? 1 : 0;
  }
  RecordProperty("sets_counted_right", right);
}

}  // namespace
}  // namespace strapline::cli
