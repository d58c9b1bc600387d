#include "../../dsp/src/rep_home.hpp"

#include <cstddef>
#include <vector>

#include <gtest/gtest.h>

#include "posed_features.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using testing::features_of;
using testing::Move;
using testing::Pose;
using testing::reps_between;

constexpr Pose kHome{0.0, 0.0}, kTurn{1.0, 0.0};

/// Reps of 1.5 s each way, without holds, after three seconds, as wide as `turns` (rad) says.
MotionFeatures reps_to(const std::vector<double>& turns) {
  std::vector<Move> moves;
  for (const double turn : turns) {
    moves.push_back({Pose{turn, 0.0}, 1.5, 0.0});
    moves.push_back({kHome, 1.5, 0.0});
  }
  return features_of(kHome, moves);
}

/// The halves of reps of 1.5 s each way from sample `begin` on, of which `first_away` goes away;
/// without the first `cut` and the last `cut`.
HalfChain halves(std::size_t reps, bool first_away, std::size_t cut, std::size_t begin = 30) {
  HalfChain chain;
  for (std::size_t k = cut; k + cut < 2 * reps; ++k) {
    const auto first = static_cast<Index>(begin + 15 * k);
    chain.push_back({first, first + 15, (k % 2 == 0) == first_away, 0.99});
  }
  return chain;
}

const std::vector<double> kWithPartReps{1.0, 1.0, 0.4, 0.4, 1.0, 1.0};

TEST(RepHome, IsWhereRepsThatTurnShortBeginAndEnd) {
  const MotionFeatures features = reps_to(kWithPartReps);
  // Cut such that the clusters' ends say the opposite, whichever way is called away.
  for (const bool away : {false, true}) {
    EXPECT_EQ(sets_out_away(features, {halves(6, away, 1)}), away);
  }
}

TEST(RepHome, IsWhereClustersBeginAndEndWhereAllTurnAlike) {
  const MotionFeatures features = reps_to({1.0, 1.05, 0.95, 1.0, 1.0, 1.0});
  for (const bool away : {false, true}) {
    EXPECT_EQ(sets_out_away(features, {halves(6, away, 0)}), away);
    EXPECT_EQ(sets_out_away(features, {halves(6, away, 1)}), !away);
  }
}

/// Four reps, twelve seconds in `pause`, four reps.
MotionFeatures with_pause_in(const Pose& pause) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 4);
  moves.push_back({pause, 1.0, 10.0});
  moves.push_back({kHome, 1.0, 0.0});
  for (const Move& move : reps_between(kHome, kTurn, 4)) moves.push_back(move);
  return features_of(kHome, moves);
}

TEST(RepHome, IsWhereTheClientWaitsBetweenClusters) {
  const MotionFeatures features = with_pause_in(kHome);
  for (const bool away : {false, true}) {
    EXPECT_EQ(sets_out_away(features, {halves(4, away, 1), halves(4, away, 1, 270)}), away);
  }
}

TEST(RepHome, AWaitElsewhereTellsNothing) {
  const MotionFeatures features = with_pause_in({-1.5, 0.0});
  for (const bool away : {false, true}) {
    EXPECT_EQ(sets_out_away(features, {halves(4, away, 1), halves(4, away, 1, 270)}), !away);
  }
}

TEST(RepHome, IsNearTheHomeOfOtherClusters) {
  const MotionFeatures features = with_pause_in(kHome);
  // The pause tells the opposite: it is at the end that the other clusters do not begin at.
  const Eigen::Vector3d others = features.up(30 + 15);  // where the first rep turns
  for (const bool away : {false, true}) {
    const std::vector<HalfChain> chains{halves(4, away, 1), halves(4, away, 1, 270)};
    EXPECT_EQ(sets_out_away(features, chains, others), !away);
    EXPECT_EQ(sets_out_away(features, chains, features.up(0)), away);
  }
}

TEST(RepHome, AHomeHalfWayTellsNothing) {
  const MotionFeatures features = with_pause_in(kHome);
  const Eigen::Vector3d half_way = features.up(30 + 8);
  for (const bool away : {false, true}) {
    const std::vector<HalfChain> chains{halves(4, away, 1), halves(4, away, 1, 270)};
    EXPECT_EQ(sets_out_away(features, chains, half_way), away);
  }
}

TEST(RepHome, OfRepsIsWhereTheyBegin) {
  const MotionFeatures features = reps_to({1.0, 1.0, 1.0});
  for (const bool away : {false, true}) {
    const std::vector<HalfChain> chains{halves(3, away, 0)};
    EXPECT_NEAR((home_of(features, chains, away) - features.up(0)).norm(), 0.0, 0.05);
    EXPECT_NEAR((home_of(features, chains, !away) - features.up(45)).norm(), 0.0, 0.05);
  }
}

TEST(RepHome, TwoTurnsTellNoScatter) {
  const MotionFeatures features = reps_to({1.0, 0.4});
  EXPECT_FALSE(sets_out_away(features, {halves(2, true, 1)}));
}

}  // namespace
}  // namespace strapline::dsp
