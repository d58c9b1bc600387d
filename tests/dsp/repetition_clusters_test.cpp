#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "free_set.hpp"
#include "posed_features.hpp"
#include "swinging_strap.hpp"

// Sets in clusters, with pauses between: one or two reps beyond a pause, part reps in between.
namespace strapline::dsp {
namespace {

using testing::bends;
using testing::features_of;
using testing::Move;
using testing::Pose;
using testing::Swing;
using testing::SwingingStrap;

constexpr Pose kStands{0.0, 0.0}, kDown{1.2, -0.5};

/// Down and up again, `pause` s of standing after it.
void squat(std::vector<Move>& moves, double pause = 0.6, const Pose& to = kDown) {
  moves.push_back({to, 1.6, 0.3});
  moves.push_back({kStands, 1.2, pause});
}

std::size_t reps_in(const std::vector<Move>& moves, const Pose& begin = kStands) {
  return find_repetitions(features_of(begin, moves)).reps.size();
}

/// rad, what so many squats tell; the third goes to `third`, all lean `aside`, rad, in turn.
double told_by(int count, const Pose& third = kDown, double aside = 0.0) {
  std::vector<Move> moves;
  for (int k = 0; k < count; ++k) {
    Pose to = k == 2 ? third : kDown;
    to.aside = k % 2 == 0 ? aside : -aside;
    squat(moves, 0.6, to);
  }
  const RepetitionSet set = find_repetitions(features_of(kStands, moves));
  EXPECT_EQ(set.reps.size(), static_cast<std::size_t>(count));
  return set.told;
}

TEST(RepetitionClusters, MoreRepsTellMore) { EXPECT_NEAR(told_by(7) / told_by(5), 1.4, 0.05); }

TEST(RepetitionClusters, WhatIsFarWiderTellsNoMore) {
  EXPECT_LE(told_by(7, {1.9, -0.8}), 1.01 * told_by(7));
}

TEST(RepetitionClusters, WhatIsLessAlikeTellsLess) {
  EXPECT_LT(told_by(7, kDown, 0.3), 0.95 * told_by(7));
}

TEST(RepetitionClusters, AWideAndASmallOneInTurnAreTwoReps) {
  std::vector<Move> moves;
  for (int k = 0; k < 8; ++k) {
    const double size = k % 2 == 0 ? 1.0 : 0.6;
    squat(moves, k == 3 ? 12.0 : 0.6, {1.2 * size, -0.5 * size});
  }
  EXPECT_EQ(reps_in(moves), 8U);
}

TEST(RepetitionClusters, LeftAndRightInTurnAreTwoReps) {
  std::vector<Move> moves;
  for (const double aside : {0.2, -0.2, 0.2, -0.2, 0.2, -0.2, 0.2}) {
    squat(moves, 0.6, {1.0, -0.4, aside});
  }
  EXPECT_EQ(reps_in(moves), 7U);
}

TEST(RepetitionClusters, TheFirstRepBeforeAPauseIsOfTheSet) {
  std::vector<Move> moves;
  squat(moves, 6.0);
  for (int k = 0; k < 5; ++k) squat(moves);
  EXPECT_EQ(reps_in(moves), 6U);
}

/// Six reps, a long pause, and a slow one that hangs half way up, `aside` rad tilted.
std::vector<Move> grinds_last(double aside) {
  std::vector<Move> moves;
  for (int k = 0; k < 5; ++k) squat(moves);
  squat(moves, 20.0);
  moves.push_back({{0.0, 0.0, aside}, 1.0, 4.0});
  moves.push_back({{1.2, -0.5, aside}, 2.0, 1.0});
  moves.push_back({{0.55, -0.2, aside}, 1.1, 1.0});
  moves.push_back({{0.0, 0.0, aside}, 1.0, 2.0});
  return moves;
}

TEST(RepetitionClusters, ALoneGrindAfterAPauseIsOfTheSet) {
  EXPECT_EQ(reps_in(grinds_last(0.0)), 7U);
}

TEST(RepetitionClusters, WhatStandsElsewhereAfterAPauseIsNot) {
  EXPECT_EQ(reps_in(grinds_last(0.5)), 6U);
}

TEST(RepetitionClusters, AClusterWithoutItsFirstHalfIsCutAsTheOthers) {
  // After the pause the client goes down by steps and aside, which is like no lowering.
  std::vector<Move> moves;
  squat(moves);
  squat(moves, 20.0);
  moves.push_back({{0.3, 0.0, 0.9}, 1.0, 1.5});
  moves.push_back({{1.5, -0.1, 0.9}, 1.0, 1.5});
  moves.push_back({kDown, 1.0, 0.3});
  moves.push_back({kStands, 1.2, 0.6});
  for (int k = 0; k < 4; ++k) squat(moves);
  const MotionFeatures features = features_of(kStands, moves);
  const RepetitionSet set = find_repetitions(features);
  ASSERT_GE(set.reps.size(), 6U);
  int from_standing = 0;
  for (const Repetition& rep : set.reps) {
    const auto first = std::lround((rep.from_s - features.from_s) / features.step_s);
    if (features.value(4, first) > -0.1) ++from_standing;
  }
  EXPECT_GE(from_standing, 6);
}

bool tells_of_height(const std::string& note) {
  return note.find("rises and sinks") != std::string::npos;
}

int full_reps_of(const SwingingStrap& strap) {
  const auto result = analyse_set(testing::free_set(strap, 40.0));
  return result ? result->full_reps() : -1;
}

// The fourth turns the strap about the limb, too, so its path is another one; its height is not.
TEST(RepetitionClusters, WhatRisesRightBesideTheRepsIsOneOfThem) {
  SwingingStrap strap;
  strap.arm = {2.0, 0.0, 0.0};
  strap.swing = [](double t) { return bends(t, 5.0, 7, 3.0, 1.0, 0.2); };
  EXPECT_EQ(full_reps_of(strap), 7);
  strap.roll = [](double t) { return bends(t, 17.0, 1, 3.0, 0.0, 0.9); };
  EXPECT_EQ(full_reps_of(strap), 7);
}

// At the end of a two-metre lever a strap that turns by 11° rises by 40 cm; what it turns about the
// vertical meanwhile has nothing to do with the reps.
TEST(RepetitionClusters, AStrapThatHardlyTurnsIsMeasuredByItsHeight) {
  SwingingStrap strap;
  strap.arm = {2.0, 0.0, 0.0};
  strap.swing = [](double t) {
    return bends(t, 5.0, 3, 3.0, 1.0, 0.2) + bends(t, 17.0, 1, 2.4, 0.0, 0.06) +
           bends(t, 20.4, 3, 3.0, 1.0, 0.2);
  };
  strap.roll = [](double t) {
    const double w = 1.1;
    return Swing{0.1 * std::sin(w * t), 0.1 * w * std::cos(w * t), -0.1 * w * w * std::sin(w * t)};
  };
  const auto result = analyse_set(testing::free_set(strap, 38.0));
  ASSERT_TRUE(result);
  EXPECT_EQ(std::count_if(result->notes.begin(), result->notes.end(), tells_of_height), 1);
  ASSERT_EQ(result->reps.size(), 7U);
  const double starts[] = {5.0, 9.0, 13.0, 17.0, 20.4, 24.4, 28.4};
  for (std::size_t k = 0; k < 7; ++k) {
    EXPECT_EQ(result->reps[k].part, k == 3) << k;
    EXPECT_NEAR(result->reps[k].start_s, starts[k], 0.4) << k;
  }
}

}  // namespace
}  // namespace strapline::dsp
