#include "../../dsp/src/rep_strays.hpp"

#include <cmath>
#include <optional>
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

constexpr Pose kHome{0.0, 0.0}, kTurn{1.2, -0.5};

/// Of 1.5 s each way, without holds, after three seconds.
HalfChain six_reps() {
  HalfChain chain;
  for (Index first = 30; first < 210; first += 15) {
    chain.push_back({first, first + 15, (first / 15) % 2 == 0, 0.99});
  }
  return chain;
}

/// Six reps, ten seconds of rest, and one rep from `begin` to `turn` and on to `end`, in so many
/// seconds each way.
struct Lone {
  Pose begin = kHome, turn = kTurn;
  std::optional<Pose> end = {};  // none: back to where it began
  double seconds = 1.5;
  double similarity = 0.9;
};

/// How many halves of the lone rep stay.
std::size_t halves_kept(const Lone& lone, std::vector<Move> moves = reps_between(kHome, kTurn, 6)) {
  moves.back().hold = 8.0;
  moves.push_back({lone.begin, 1.0, 1.0});
  moves.push_back({lone.turn, lone.seconds, 0.0});
  moves.push_back({lone.end.value_or(lone.begin), lone.seconds, 5.0});
  const auto half = static_cast<Index>(std::lround(lone.seconds * 10.0));
  std::vector<HalfChain> chains{six_reps(),
                                {{310, 310 + half, true, lone.similarity},
                                 {310 + half, 310 + 2 * half, false, lone.similarity}}};
  drop_strays(chains, features_of(kHome, moves), RepetitionParams{});
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

TEST(RepStrays, TwoSureHalvesVouchForTheOthers) {
  // The second rep of the cluster goes to another place.
  const auto kept = [](double sure) {
    std::vector<Move> moves = reps_between(kHome, kTurn, 7);
    moves[11].hold = 10.0;
    moves.push_back({{0.7, 0.1}, 1.5, 0.0});
    moves.push_back({kHome, 1.5, 5.0});
    std::vector<HalfChain> chains{six_reps(),
                                  {{310, 325, true, sure},
                                   {325, 340, false, sure},
                                   {340, 355, true, 0.92},
                                   {355, 370, false, 0.92}}};
    drop_strays(chains, features_of(kHome, moves), RepetitionParams{});
    return chains.size() < 2 ? 0 : chains[1].size();
  };
  EXPECT_EQ(kept(0.98), 4U);
  EXPECT_LT(kept(0.93), 4U);
}

TEST(RepStrays, WhatBeginsElsewhereGoes) {
  EXPECT_EQ(halves_kept({.begin = {0.0, 0.0, 0.3}}), 0U);
  EXPECT_EQ(halves_kept({.turn = {1.2, -0.5, 0.6}}), 0U);
}

TEST(RepStrays, WhereTheOthersScatterALoneRepMay) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 6);
  for (std::size_t k = 1; k < moves.size(); k += 2) moves[k].to.aside = k % 4 == 1 ? -0.2 : 0.2;
  EXPECT_EQ(halves_kept({.begin = {0.0, 0.0, 0.3}}, moves), 2U);
}

TEST(RepStrays, WhatIsDoneInATrifleOfTheTimeGoes) { EXPECT_EQ(halves_kept({.seconds = 0.7}), 0U); }

TEST(RepStrays, WhoSticksOnTheWayGoesAsFar) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 6);
  moves.back().hold = 10.0;
  moves.push_back({kTurn, 1.5, 0.0});
  moves.push_back({testing::between(kTurn, kHome, 0.5), 0.4, 12.0});
  moves.push_back({kHome, 0.4, 5.0});
  std::vector<HalfChain> chains{six_reps(), {{310, 325, true, 0.96}, {325, 453, false, 0.9}}};
  drop_strays(chains, features_of(kHome, moves), RepetitionParams{});
  EXPECT_EQ(chains.size(), 2U);
}

TEST(RepStrays, TheLastWayBackMayBeLostBeforeItIsHome) {
  constexpr Pose kHalfWay{0.3, -0.12};
  EXPECT_EQ(halves_kept({.end = kHalfWay}), 2U);
  EXPECT_EQ(halves_kept({.begin = kHalfWay}), 0U);
  EXPECT_EQ(halves_kept({.begin = kHalfWay, .end = kHome}), 0U);
}

TEST(RepStrays, WhatIsSmallGoes) { EXPECT_EQ(halves_kept({.turn = {0.5, -0.2}}), 0U); }

TEST(RepStrays, AStrangeHalfAtTheEndTakesNoRepWithIt) {
  std::vector<Move> moves = reps_between(kHome, kTurn, 8);
  moves[11].hold = 10.0;
  std::vector<HalfChain> chains{
      six_reps(), {{310, 325, true, 0.99}, {325, 340, false, 0.99}, {340, 355, true, 0.5}}};
  drop_strays(chains, features_of(kHome, moves), RepetitionParams{});
  ASSERT_EQ(chains.size(), 2U);
  EXPECT_EQ(chains[1].size(), 2U);
}

}  // namespace
}  // namespace strapline::dsp
