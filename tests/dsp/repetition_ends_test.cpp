#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "free_set.hpp"
#include "posed_features.hpp"
#include "swinging_strap.hpp"

// What hands do before a set and after it: how it begins and ends must not count.
namespace strapline::dsp {
namespace {

using testing::bends;
using testing::features_of;
using testing::Move;
using testing::Pose;
using testing::Swing;
using testing::SwingingStrap;

constexpr Pose kBottom{0.0, 0.0}, kTop{1.6, 0.6};

/// `count` times down and up again.
std::vector<Move> curls(int count) {
  std::vector<Move> moves;
  for (int k = 0; k < count; ++k) {
    moves.push_back({kBottom, 1.5, 0.3});
    moves.push_back({kTop, 1.2, 0.4});
  }
  return moves;
}

TEST(RepetitionEnds, ASetThatBeginsAndEndsAtTheTopCountsItsLifts) {
  const MotionFeatures set = features_of(kTop, curls(7));
  EXPECT_EQ(find_repetitions(set).reps.size(), 7U);
}

TEST(RepetitionEnds, TheLiftThatTakesUpPositionIsNoRep) {
  // From where the arm hung, which no rep comes near again.
  std::vector<Move> moves{{kTop, 1.4, 0.8}};
  for (const Move& move : curls(7)) moves.push_back(move);
  EXPECT_EQ(find_repetitions(features_of({-0.3, -0.1, 0.6}, moves)).reps.size(), 7U);
}

TEST(RepetitionEnds, AFirstLiftFromALittleLowerIsOne) {
  std::vector<Move> moves{{kTop, 1.4, 0.4}};
  for (const Move& move : curls(7)) moves.push_back(move);
  EXPECT_EQ(find_repetitions(features_of({-0.2, 0.0, 0.1}, moves)).reps.size(), 8U);
}

TEST(RepetitionEnds, AWeightThatIsPutDownIsNoLift) {
  // The strap turns as in a lift, but sinks.
  std::vector<Move> moves = curls(7);
  moves.push_back({kBottom, 1.5, 0.3});
  moves.push_back({{1.5, -0.25}, 1.0, 0.0});
  EXPECT_EQ(find_repetitions(features_of(kTop, moves)).reps.size(), 7U);
}

int counted(const SwingingStrap& strap, double seconds) {
  const auto result = analyse_set(testing::free_set(strap, seconds));
  return result ? result->full_reps() : -1;
}

TEST(RepetitionEnds, AHandThatLetsGoIsNoRep) {
  // As wide as a rep, but in a third of the time, and the strap turns about the limb, too.
  SwingingStrap strap;
  strap.swing = [](double t) {
    return bends(t, 5.0, 6, 3.6, 0.5, 1.0) + bends(t, 30.5, 1, 1.3, 0.0, 1.0);
  };
  strap.roll = [](double t) { return bends(t, 30.5, 1, 1.3, 0.0, 0.4); };
  EXPECT_EQ(counted(strap, 45.0), 6);
}

TEST(RepetitionEnds, AHurriedLastRowIsOfTheSet) {
  SwingingStrap strap;
  strap.swing = [](double t) {
    return bends(t, 5.0, 6, 3.6, 0.5, 1.0) + bends(t, 31.0, 4, 1.6, 0.3, 1.0);
  };
  EXPECT_EQ(counted(strap, 50.0), 10);
}

TEST(RepetitionEnds, ARowWithoutHoldsIsNoHandling) {
  // Half as long as the others, but as slow: the others are held at the turn.
  const auto held = [](double t, double from_s) {
    const double s = t - from_s;
    const double w = std::numbers::pi / 1.2;
    const auto rise = [&](double u) {
      return Swing{0.5 - 0.5 * std::cos(w * u), 0.5 * w * std::sin(w * u),
                   0.5 * w * w * std::cos(w * u)};
    };
    if (s < 0.0 || s > 5.4) return Swing{0.0, 0.0, 0.0};
    if (s < 1.2) return rise(s);
    if (s < 4.2) return Swing{1.0, 0.0, 0.0};
    const Swing back = rise(5.4 - s);
    return Swing{back.angle, -back.rate, back.acceleration};
  };
  SwingingStrap strap;
  strap.swing = [&](double t) {
    Swing all = bends(t, 50.0, 3, 2.4, 0.6, 1.0);
    for (int k = 0; k < 6; ++k) all = all + held(t, 5.0 + 6.0 * k);
    return all;
  };
  EXPECT_EQ(counted(strap, 70.0), 9);
}

}  // namespace
}  // namespace strapline::dsp
