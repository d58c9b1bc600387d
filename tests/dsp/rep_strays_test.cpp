#include "../../dsp/src/rep_strays.hpp"

#include <gtest/gtest.h>

#include "posed_features.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using testing::features_of;
using testing::Move;
using testing::Pose;

constexpr Pose kHome{0.0, 0.0}, kTurn{1.2, -0.5};

/// Of 1.5 s each way, without holds, after three seconds.
HalfChain six_reps() {
  HalfChain chain;
  for (Index first = 30; first < 210; first += 15) {
    chain.push_back({first, first + 15, (first / 15) % 2 == 0, 0.99});
  }
  return chain;
}

/// Six reps of 1.5 s each way without holds, ten seconds of rest, and one rep to `turn` and back
/// from `begin`, in so many seconds each way.
struct Lone {
  Pose begin = kHome, turn = kTurn;
  double seconds = 1.5;
  double similarity = 0.9;
};

/// How many halves of the lone rep stay.
std::size_t halves_kept(const Lone& lone) {
  std::vector<Move> moves;
  for (int k = 0; k < 6; ++k) {
    moves.push_back({kTurn, 1.5, 0.0});
    moves.push_back({kHome, 1.5, 0.0});
  }
  moves.back().hold = 8.0;
  moves.push_back({lone.begin, 1.0, 1.0});
  moves.push_back({lone.turn, lone.seconds, 0.0});
  moves.push_back({lone.begin, lone.seconds, 5.0});
  const MotionFeatures features = features_of(kHome, moves);
  const RepetitionParams params;
  std::vector<HalfChain> chains{six_reps(), {}};
  const auto half = static_cast<Index>(std::lround(lone.seconds * 10.0));
  chains[1] = {{310, 310 + half, true, lone.similarity},
               {310 + half, 310 + 2 * half, false, lone.similarity}};
  drop_strays(chains, features, params);
  return chains.size() < 2 ? 0 : chains[1].size();
}

TEST(RepStrays, ALoneRepThatIsVeryMuchAlikeStays) {
  EXPECT_EQ(halves_kept({.similarity = 0.97}), 2U);
  EXPECT_EQ(halves_kept({.begin = {0.0, 0.0, 0.5}, .turn = {1.2, -0.5, 0.5}, .similarity = 0.97}),
            2U);  // the strap has slipped in the pause
}

TEST(RepStrays, ALoneRepThatIsAlikeStaysWhereItIsDoneAsTheOthers) {
  EXPECT_EQ(halves_kept({}), 2U);
  EXPECT_EQ(halves_kept({.seconds = 3.0}), 2U);  // a grind
  EXPECT_EQ(halves_kept({.similarity = 0.8}), 0U);
}

TEST(RepStrays, WhatBeginsElsewhereGoes) {
  EXPECT_EQ(halves_kept({.begin = {0.0, 0.0, 0.3}}), 0U);
  EXPECT_EQ(halves_kept({.turn = {1.2, -0.5, 0.6}}), 0U);
}

TEST(RepStrays, WhereTheOthersScatterALoneRepMay) {
  std::vector<Move> moves;
  for (int k = 0; k < 6; ++k) {
    moves.push_back({kTurn, 1.5, 0.0});
    moves.push_back({{0.0, 0.0, k % 2 == 0 ? -0.2 : 0.2}, 1.5, 0.0});
  }
  moves.back().hold = 8.0;
  const Pose begin{0.0, 0.0, 0.3};
  moves.push_back({begin, 1.0, 1.0});
  moves.push_back({kTurn, 1.5, 0.0});
  moves.push_back({begin, 1.5, 5.0});
  const MotionFeatures features = features_of(kHome, moves);
  const RepetitionParams params;
  std::vector<HalfChain> chains{six_reps(), {{310, 325, true, 0.9}, {325, 340, false, 0.9}}};
  drop_strays(chains, features, params);
  EXPECT_EQ(chains.size(), 2U);
}

TEST(RepStrays, WhatIsDoneInATrifleOfTheTimeGoes) { EXPECT_EQ(halves_kept({.seconds = 0.7}), 0U); }

TEST(RepStrays, WhoSticksOnTheWayGoesAsFar) {
  std::vector<Move> moves;
  for (int k = 0; k < 6; ++k) {
    moves.push_back({kTurn, 1.5, 0.0});
    moves.push_back({kHome, 1.5, k == 5 ? 10.0 : 0.0});
  }
  moves.push_back({kTurn, 1.5, 0.0});
  moves.push_back({testing::between(kTurn, kHome, 0.5), 0.8, 4.4});
  moves.push_back({kHome, 0.8, 5.0});
  const MotionFeatures features = features_of(kHome, moves);
  std::vector<HalfChain> chains{six_reps(), {{310, 325, true, 0.96}, {325, 385, false, 0.9}}};
  drop_strays(chains, features, RepetitionParams{});
  EXPECT_EQ(chains.size(), 2U);
}

/// How many halves of a lone rep stay that begins here and ends there.
std::size_t lone_halves(Pose begins, Pose ends) {
  std::vector<Move> moves;
  for (int k = 0; k < 6; ++k) {
    moves.push_back({kTurn, 1.5, 0.0});
    moves.push_back({kHome, 1.5, k == 5 ? 8.0 : 0.0});
  }
  moves.push_back({begins, 1.0, 1.0});
  moves.push_back({kTurn, 1.5, 0.0});
  moves.push_back({ends, 1.5, 5.0});
  const MotionFeatures features = features_of(kHome, moves);
  std::vector<HalfChain> chains{six_reps(), {{310, 325, true, 0.9}, {325, 340, false, 0.9}}};
  drop_strays(chains, features, RepetitionParams{});
  return chains.size() < 2 ? 0 : chains[1].size();
}

TEST(RepStrays, TheLastWayBackMayBeLostBeforeItIsHome) {
  constexpr Pose kHalfWay{0.3, -0.12};
  EXPECT_EQ(lone_halves(kHome, kHalfWay), 2U);
  EXPECT_EQ(lone_halves(kHalfWay, kHalfWay), 0U);
  EXPECT_EQ(lone_halves(kHalfWay, kHome), 0U);
}

TEST(RepStrays, WhatIsSmallGoes) { EXPECT_EQ(halves_kept({.turn = {0.5, -0.2}}), 0U); }

TEST(RepStrays, AStrangeHalfAtTheEndTakesNoRepWithIt) {
  std::vector<Move> moves;
  for (int k = 0; k < 8; ++k) {
    moves.push_back({kTurn, 1.5, 0.0});
    moves.push_back({kHome, 1.5, k == 5 ? 10.0 : 0.0});
  }
  const MotionFeatures features = features_of(kHome, moves);
  const RepetitionParams params;
  std::vector<HalfChain> chains{six_reps(), {}};
  chains[1] = {{310, 325, true, 0.99}, {325, 340, false, 0.99}, {340, 355, true, 0.5}};
  drop_strays(chains, features, params);
  ASSERT_EQ(chains.size(), 2U);
  EXPECT_EQ(chains[1].size(), 2U);
}

}  // namespace
}  // namespace strapline::dsp
