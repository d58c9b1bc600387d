#include "../../dsp/src/handling.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

/// An excursion and the repetition that told of it.
struct Motion {
  double from_s;
  double moving_s = 2.0;   // both ways, without the hold
  double stretch_s = 3.0;  // of the repetition
  double range = 1.0;      // rad
  double similarity = 0.9;
  double by_half_s = 0.0;  // the repetition's length by the half that was told of it
  bool told = true;        // by a repetition
  double ends = 0.0;       // rad, further than it began
};

/// A strap that turns by `angle` (s → rad) about one axis.
template <typename Angle>
PreparedStrap strap_turning(const Eigen::VectorXd& t, Angle angle) {
  PreparedStrap strap;
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    strap.motion.q_world_from_sensor.push_back(exp_rotation({0.0, 0.0, angle(t[i])}));
  }
  return strap;
}

/// `count` of them, `every_s` from one to the next.
std::vector<Motion> row(Motion first, int count, double every_s) {
  std::vector<Motion> all;
  for (int k = 0; k < count; ++k, first.from_s += every_s) all.push_back(first);
  return all;
}

std::vector<Motion> operator+(std::vector<Motion> a, const std::vector<Motion>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

/// Where those begin that are left.
std::vector<double> left_of(const std::vector<Motion>& motions, TurnTells tells = TurnTells::when) {
  const SetInput input;
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(10001, 0.0, 100.0));
  for (const Motion& m : motions) {
    const double hold = m.stretch_s - m.moving_s;
    const double turn = m.from_s + 0.5 * m.moving_s + 0.5 * std::max(0.0, hold);
    Excursion e;
    e.start.time_s = m.from_s;
    e.turn_in.time_s = e.turn_out.time_s = m.from_s + 0.5 * m.moving_s;
    e.turn_out.time_s += std::max(0.0, hold);
    e.end.time_s = e.turn_out.time_s + 0.5 * m.moving_s;
    e.turn_index = nearest_index(work.t, turn);
    e.range = m.range;
    work.excursions.push_back(e);
    if (!m.told) continue;
    work.repetitions.push_back({turn - 0.5 * m.stretch_s, turn + 0.5 * m.stretch_s, m.similarity,
                                0.35 * m.range, m.by_half_s});
  }
  work.straps.push_back(strap_turning(work.t, [&](double t) {
    double angle = 0.0;
    for (std::size_t k = 0; k < motions.size(); ++k) {
      const Excursion& e = work.excursions[k];
      angle += testing::bends(t, e.start.time_s, 1, length_of(e), 0.0, e.range).angle;
      if (t >= e.end.time_s) angle += motions[k].ends;
    }
    return angle;
  }));
  leave_out_handling(work, tells);
  std::vector<double> begins;
  for (const Excursion& e : work.excursions) begins.push_back(e.start.time_s);
  return begins;
}

const std::vector<Motion> kReps = row({30.0}, 3, 4.0);
const std::vector<double> kRepsBegin{30.0, 34.0, 38.0};

TEST(Handling, WhatIsAlikeButTakesHalfTheTimeIsWhatHandsDo) {
  const std::vector<Motion> gets_up{{43.5, 1.3, 1.6, 1.0, 0.99}};
  EXPECT_EQ(left_of(kReps + gets_up), kRepsBegin);
  const std::vector<Motion> slower{{43.5, 1.3, 2.2, 1.0, 0.99}};
  EXPECT_EQ(left_of(kReps + slower), (std::vector<double>{30.0, 34.0, 38.0, 43.5}));
}

TEST(Handling, OneLongGrindIsNotWhatIsUsual) {
  const std::vector<Motion> grind{{42.0, 4.5, 10.0}};
  EXPECT_EQ(left_of(kReps + grind), (std::vector<double>{30.0, 34.0, 38.0, 42.0}));
}

TEST(Handling, StepsAreLeftOutWhereThereAreMoreOfThemThanReps) {
  const Motion step{24.0, 0.9, 0.9, 1.1};
  Motion after = step;
  after.from_s = 43.0;
  EXPECT_EQ(left_of(row(step, 4, 1.0) + kReps + row(after, 5, 1.0)), kRepsBegin);
}

TEST(Handling, OneOfTheTimesIsBriefAndTheOtherNotLong) {
  EXPECT_EQ(left_of(kReps + row({43.0, 1.1, 2.0}, 2, 2.2)), kRepsBegin);
  EXPECT_EQ(left_of(kReps + row({43.0, 1.4, 1.4}, 2, 2.2)), kRepsBegin);
  EXPECT_EQ(left_of(kReps + row({43.0, 1.4, 2.0}, 2, 2.2)).size(), 5U);
  EXPECT_EQ(left_of(kReps + row({43.0, 1.1, 2.5}, 2, 2.2)).size(), 5U);
}

TEST(Handling, BothTimesTogetherMayBeBrief) {
  EXPECT_EQ(left_of(kReps + row({43.0, 1.26, 1.95}, 2, 2.2)), kRepsBegin);
}

TEST(Handling, AHalfThatWasToldTellsThePace) {
  // The repetition reaches on to where the other half would end.
  const Motion half{43.0, 1.1, 3.0, 1.0, 0.9, 1.6};
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{half}), kRepsBegin);
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{{43.0, 1.1, 3.0}}).size(), 4U);
}

TEST(Handling, WhatNoRepetitionToldOfShowsItsOwnLengthWhereTheTurnTells) {
  Motion untold{43.0, 1.5, 2.4};
  untold.told = false;
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{untold}, TurnTells::what_like).size(), 4U);
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{untold}, TurnTells::when), kRepsBegin);
}

TEST(Handling, StepsEndWithHalfAOne) {
  const std::vector<Motion> stand{{45.0, 2.0, 2.4, 0.5}};
  EXPECT_EQ(left_of(kReps + row({43.0, 0.9, 0.9, 1.1}, 2, 1.0) + stand), kRepsBegin);
  const std::vector<Motion> part{{42.0, 2.0, 2.4, 0.5}};
  EXPECT_EQ(left_of(kReps + part).size(), 4U);  // beside a rep it is a part rep
}

TEST(Handling, WhoHurriesDoesNotDoSoFromOneRepToTheNext) {
  const std::vector<Motion> quicker{{42.0, 1.6, 2.4}, {45.0, 1.3, 1.9}, {47.0, 1.1, 1.4}};
  EXPECT_EQ(left_of(kReps + quicker).size(), 6U);
  EXPECT_EQ(left_of(kReps + row({42.0, 1.1, 1.4}, 3, 1.6)), kRepsBegin);
}

TEST(Handling, ALongHurriedRowIsOfTheSet) {
  EXPECT_EQ(left_of(kReps + row({43.0, 1.1, 1.4}, 7, 1.6)).size(), 10U);
}

TEST(Handling, WhatIsMuchLikeTheRepsStaysUnlessNoClientHurriesSo) {
  EXPECT_EQ(left_of(kReps + row({42.0, 1.1, 1.4, 1.0, 0.97}, 2, 1.6)).size(), 5U);
  EXPECT_EQ(left_of(kReps + row({42.0, 0.7, 1.6, 1.0, 0.97}, 2, 1.8)), kRepsBegin);
  EXPECT_EQ(left_of(kReps + row({42.0, 0.7, 2.0, 1.0, 0.97}, 2, 2.2)).size(), 5U);
  EXPECT_EQ(left_of(kReps + row({43.0, 0.7, 3.0}, 1, 1.0)), kRepsBegin);  // in a long stretch
}

TEST(Handling, AnAxisThatShowsLittleOfARepHastensNone) {
  EXPECT_EQ(left_of(kReps + row({43.0, 0.7, 3.0, 1.0, 0.93}, 1, 1.0)).size(), 4U);
}

TEST(Handling, WhatIsFarWiderIsSomethingElse) {
  EXPECT_EQ(left_of(kReps + row({43.0, 1.3, 2.6, 2.5}, 1, 1.0)), kRepsBegin);
  EXPECT_EQ(left_of(kReps + row({43.0, 1.3, 2.6, 1.5}, 1, 1.0)).size(), 4U);
}

TEST(Handling, WhatLiesBeyondAnArmThatSwungFarIsNoRep) {
  // As slow as the reps, so that they would be part reps beside them.
  const std::vector<Motion> lowered{{42.0, 2.0, 3.0, 3.0, 0.9, 3.0}};
  const std::vector<Motion> after = row({45.5, 1.8, 2.5, 0.3}, 2, 2.6);
  EXPECT_EQ(left_of(kReps + lowered + after), kRepsBegin);
  EXPECT_EQ(left_of(kReps + after).size(), 5U);
}

TEST(Handling, WhatLiesBeyondStepsIsNoRep) {
  const std::vector<Motion> steps = row({43.0, 0.9, 0.9, 1.1}, 2, 1.0);
  const std::vector<Motion> stands = row({45.5, 2.0, 3.0, 0.6, 0.97}, 2, 3.5);
  EXPECT_EQ(left_of(kReps + steps + stands), kRepsBegin);
  const std::vector<Motion> one_quick{{43.0, 0.9, 0.9, 1.1}};
  EXPECT_EQ(left_of(kReps + one_quick + stands).size(), 6U);
  const std::vector<Motion> wide = row({45.5, 2.0, 3.0, 1.0, 0.97}, 2, 3.5);
  EXPECT_EQ(left_of(kReps + steps + wide).size(), 7U);
}

TEST(Handling, WhoTakesAnotherPostureDoesNoRep) {
  const auto ends = [](double range, double rad) {
    Motion m{43.0, 2.0, 2.8, range};
    m.ends = rad;
    return left_of(kReps + std::vector<Motion>{m}, TurnTells::what_like);
  };
  EXPECT_EQ(ends(0.6, 0.55), kRepsBegin);
  EXPECT_EQ(ends(0.6, 0.3).size(), 4U);
  EXPECT_EQ(ends(0.9, 0.8).size(), 4U);  // as wide as the reps: they put the weight down
}

TEST(Handling, AHalfStepByItselfIsNoPartRep) {
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{{60.0, 1.5, 2.0, 0.5}}), kRepsBegin);
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{{60.0, 2.0, 3.0, 0.5}}), kRepsBegin);
}

TEST(Handling, WhatGrindsByItselfIsARep) {
  EXPECT_EQ(left_of(kReps + std::vector<Motion>{{60.0, 3.2, 4.0, 0.5}}).size(), 4U);
}

TEST(Handling, WhatIsMuchLikeTheRepsAndAsSlowIsOneByItselfToo) {
  const auto alone = [](double moving_s, double stretch_s) {
    return kReps + std::vector<Motion>{{60.0, moving_s, stretch_s, 0.5, 0.97}};
  };
  EXPECT_EQ(left_of(alone(2.0, 3.0)).size(), 4U);
  EXPECT_EQ(left_of(alone(1.5, 3.0)), kRepsBegin);
  EXPECT_EQ(left_of(alone(2.0, 2.1)), kRepsBegin);
}

TEST(Handling, WhereNoRepetitionToldOfThemNothingIsUsual) {
  const SetInput input;
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(1001, 0.0, 10.0));
  work.excursions.resize(2);
  work.excursions[0].range = work.excursions[1].range = 1.0;
  leave_out_handling(work, TurnTells::when);
  EXPECT_EQ(work.excursions.size(), 2U);
}

TEST(Handling, WhereTheTurnDoesNotTellTheLengthMust) {
  EXPECT_EQ(left_of(kReps + row({43.0, 1.1, 1.4}, 2, 1.6), TurnTells::little), kRepsBegin);
  EXPECT_EQ(left_of(kReps + row({43.0, 0.7, 2.0, 2.5}, 2, 2.2), TurnTells::little).size(), 5U);
}

/// A part rep, or what may be one.
struct Part {
  double from_s, to_s;
  double range = 0.3;  // rad
  bool part = true;
};

/// Where those begin that are left of a full rep of 4 s at 20 s, which turns the strap by `range`,
/// rad, and of others.
std::vector<double> beside_full(const std::vector<Part>& parts, double range = 1.0) {
  const SetInput input;
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(5001, 0.0, 50.0));
  const auto add = [&](const Part& of) {
    Excursion e;
    e.start.time_s = of.from_s;
    e.end.time_s = of.to_s;
    e.range = of.range;
    e.part = of.part;
    work.excursions.push_back(e);
  };
  add({20.0, 24.0, range, false});
  for (const Part& part : parts) add(part);
  work.straps.push_back(strap_turning(work.t, [&](double t) {
    double angle = 0.0;
    for (const Excursion& e : work.excursions) {
      angle += testing::bends(t, e.start.time_s, 1, length_of(e), 0.0, e.range).angle;
    }
    return angle;
  }));
  leave_out_stray_parts(work);
  std::vector<double> begins;
  for (const Excursion& e : work.excursions) begins.push_back(e.start.time_s);
  return begins;
}

const std::vector<double> kNone{20.0};

TEST(StrayParts, AFastOneFarFromEveryFullRepIsAStep) {
  EXPECT_EQ(beside_full({{29.0, 31.0}}), kNone);
}

TEST(StrayParts, ASlowOneIsARep) {
  EXPECT_EQ(beside_full({{29.0, 32.5}}), (std::vector<double>{20.0, 29.0}));
}

TEST(StrayParts, OneAfterAnotherFromAFullRepOn) {
  EXPECT_EQ(beside_full({{26.0, 28.0}, {31.0, 33.0}, {38.0, 40.0}}),
            (std::vector<double>{20.0, 26.0, 31.0}));
}

TEST(StrayParts, WhatTakesTwiceAsLongIsADrift) {
  EXPECT_EQ(beside_full({{25.0, 32.5}}).size(), 2U);
  EXPECT_EQ(beside_full({{25.0, 34.0}}), kNone);
}

TEST(StrayParts, OneTurnsTheStrapWhereFullOnesClearlyDo) {
  EXPECT_EQ(beside_full({{25.0, 29.0, 0.05}}), kNone);
  EXPECT_EQ(beside_full({{25.0, 29.0, 0.15}}).size(), 2U);
  EXPECT_EQ(beside_full({{25.0, 29.0, 0.01}}, 0.15).size(), 2U);
}

TEST(StrayParts, ANarrowQuickOneFarFromEveryFullRepIsAStepToo) {
  EXPECT_EQ(beside_full({{29.0, 31.0, 0.6, false}}), kNone);
  EXPECT_EQ(beside_full({{29.0, 31.0, 0.8, false}}).size(), 2U);         // as wide
  EXPECT_EQ(beside_full({{29.0, 32.5, 0.6, false}}).size(), 2U);         // as slow
  EXPECT_EQ(beside_full({{26.0, 28.0, 0.6, false}}).size(), 2U);         // beside it
  EXPECT_EQ(beside_full({{29.0, 31.0, 0.09, false}}, 0.15).size(), 2U);  // a turn that tells little
}

}  // namespace
}  // namespace strapline::dsp
