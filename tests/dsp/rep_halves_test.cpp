#include "../../dsp/src/rep_halves.hpp"

#include <gtest/gtest.h>

#include "posed_features.hpp"

namespace strapline::dsp {
namespace {

using testing::features_of;
using testing::Move;
using testing::Pose;
using testing::reps_between;

constexpr Pose kHome{0.0, 0.0}, kTurn{1.2, -0.5};

/// The chains of a recording whose usual rep takes three seconds from sample `first` on.
std::vector<HalfChain> chains_in(const std::vector<Move>& moves, Eigen::Index first) {
  const MotionFeatures features = features_of(kHome, moves);
  const RepetitionParams params;
  const RepMatcher matcher(features, params);
  const RepTemplate rep{matcher.path(first, 30.0).normalized(), 30.0, matcher.rms(first, 30.0)};
  return half_reps(features, matcher, rep, matcher.best_cover(rep), params);
}

// A pause of five seconds is longer than a hold between two halves may be, and shorter than what
// parts clusters.
TEST(RepHalves, TheFirstAndTheLastRepStayBeyondAPauseWithinTheCluster) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 7);
  moves[1].hold = moves[11].hold = 5.0;
  const auto chains = chains_in(moves, 110);
  ASSERT_EQ(chains.size(), 1U);
  ASSERT_EQ(chains[0].size(), 14U);
  EXPECT_NEAR(static_cast<double>(chains[0].front().first), 30.0, 6.0);
  EXPECT_NEAR(static_cast<double>(chains[0].back().last), 340.0, 6.0);
}

// As a whole it is hardly alike: it turns after a sixth of its time.
TEST(RepHalves, AGrindByItselfTurnsWhereItsHalvesAreAlike) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 6);
  moves.back().hold = 15.0;
  moves.push_back({kTurn, 1.0, 0.0});
  moves.push_back({kHome, 5.0, 5.0});
  const auto chains = chains_in(moves, 60);
  ASSERT_EQ(chains.size(), 2U);
  ASSERT_EQ(chains[1].size(), 2U);
  EXPECT_NEAR(static_cast<double>(chains[1][0].last), 370.0, 6.0);
  for (const HalfRep& half : chains[1])
    EXPECT_GT(half.similarity, RepetitionParams{}.stray_similarity);
}

}  // namespace
}  // namespace strapline::dsp
