#include "../../dsp/src/clear_turns.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using testing::bends;

constexpr Index kSamples = 6001;  // 60 s

/// A pelvis that turns about the vertical and sinks, raised cosines both, a hold of the recording's
/// rest between them.
struct Lunge {
  double start_s, length_s, turn, sinks;  // s, s, rad (to either side), m
};

const std::vector<Lunge> kThree{
    {5.0, 4.0, 0.1, 0.4}, {10.0, 4.0, 0.08, 0.4}, {15.0, 4.0, 0.1, 0.4}};

struct ClearTurns : ::testing::Test {
  ClearTurns() : work(work_on(input, VectorXd::LinSpaced(kSamples, 0.0, 60.0))) {}

  void record(const std::vector<Lunge>& lunges) {
    StrapSeries series;
    series.data.t = work.t;
    series.data.gyr = Eigen::Matrix3Xd::Zero(3, kSamples);
    series.data.acc = Eigen::Matrix3Xd::Zero(3, kSamples);
    PreparedStrap strap;
    strap.motion.known.assign(kSamples, 1);
    work.range_angle = VectorXd::Zero(kSamples);
    for (Index i = 0; i < kSamples; ++i) {
      double falls = 0.0;  // m/s²
      for (const Lunge& l : lunges) {
        const double share = bends(work.t[i], l.start_s, 1, l.length_s, 0.0, 1.0).angle;
        falls += bends(work.t[i], l.start_s, 1, l.length_s, 0.0, l.sinks).acceleration;
        work.range_angle[i] += l.turn * share;
      }
      series.data.acc.col(i) = (kStandardGravity - falls) * world_up();
      strap.motion.q_world_from_sensor.push_back(exp_rotation(work.range_angle[i] * world_up()));
    }
    input.straps = {series};
    work.straps = {strap};
    work.parts.set = {0.0, 60.0};
    work.rises = true;
  }

  void tell(double from_s, double turn_s, double to_s, bool part = false) {
    Excursion e;
    e.start.time_s = from_s;
    e.turn_in.time_s = e.turn_out.time_s = turn_s;
    e.end.time_s = to_s;
    e.turn_index = nearest_index(work.t, turn_s);
    e.range = 0.1;
    e.part = part;
    work.excursions.push_back(e);
    work.repetitions.push_back({from_s, to_s, 0.98, 0.2});
  }

  /// As the height tells it, which hardly falls while the leg begins to bend.
  void tell_three() {
    for (const Lunge& l : kThree) tell(l.start_s + 0.4, l.start_s + 2.0, l.start_s + 3.6);
  }

  /// s, where each turns; of part reps the negative.
  std::vector<double> turns() {
    std::vector<double> found;
    for (const Excursion& e : by_clear_turns(work, {})) {
      found.push_back((e.part ? -1.0 : 1.0) * work.t[e.turn_index]);
    }
    return found;
  }

  void expect(const std::vector<double>& expected) {
    const std::vector<double> found = turns();
    ASSERT_EQ(found.size(), expected.size());
    for (std::size_t k = 0; k < found.size(); ++k) EXPECT_NEAR(found[k], expected[k], 0.1);
  }

  SetInput input;
  SetWork work;
};

std::vector<Lunge> three_and(const Lunge& other) {
  std::vector<Lunge> all = kThree;
  all.push_back(other);
  return all;
}

TEST_F(ClearTurns, ASlowOneAfterAPauseIsOne) {
  record(three_and({40.0, 9.0, 0.07, 0.4}));
  tell_three();
  expect({7.0, 12.0, 17.0, 44.5});
}

TEST_F(ClearTurns, OneToTheOtherSideIsOne) {
  record(three_and({20.0, 4.0, -0.1, 0.4}));
  tell_three();
  expect({7.0, 12.0, 17.0, 22.0});
}

TEST_F(ClearTurns, APartRepIsToldByItsHeight) {
  record(three_and({20.0, 4.0, 0.06, 0.08}));
  tell_three();
  expect({7.0, 12.0, 17.0, -22.0});
}

TEST_F(ClearTurns, WhatTurnsAndDoesNotRiseIsNone) {
  record(three_and({40.0, 4.0, 0.1, 0.02}));
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatHandsDoIsNotTheirUsualPace) {
  std::vector<Lunge> lunges = three_and({40.0, 9.0, 0.1, 0.4});
  for (double at = 20.0; at < 38.0; at += 3.0) lunges.push_back({at, 2.2, 0.1, 0.02});
  record(lunges);
  tell_three();
  expect({7.0, 12.0, 17.0, 44.5});
}

TEST_F(ClearTurns, WhatRisesTheOtherWayIsNone) {
  record(three_and({40.0, 4.0, 0.1, -0.4}));
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatIsFarQuickerIsNone) {
  record(three_and({40.0, 1.5, 0.1, 0.4}));
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatIsFarSlowerIsNone) {
  record(three_and({40.0, 14.0, 0.1, 0.4}));
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatDithersIsNone) {
  record(three_and({40.0, 4.0, 0.1, 0.4}));
  for (Index i = 4000; i < 4400; ++i) work.range_angle[i] += 0.02 * std::sin(8.0 * work.t[i]);
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatDoesNotComeFromRestIsNone) {
  record(three_and({40.0, 4.0, 0.1, 0.4}));
  for (Index i = 3900; i < 4000; ++i) work.range_angle[i] += 0.02 * std::sin(20.0 * work.t[i]);
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, TwoThatWereToldAsOneAreTwo) {
  record(three_and({20.0, 4.0, 0.1, 0.4}));
  tell(5.0, 7.0, 14.0);
  tell(15.0, 17.0, 24.0);
  expect({7.0, 12.0, 17.0, 22.0});
}

TEST_F(ClearTurns, CutAtTheirTurnsTheyAreFoundAllTheSame) {
  record(kThree);
  tell(7.0, 9.5, 12.0);
  tell(12.0, 14.5, 17.0);
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhereTheTurnDoesNotShowAllThatWasToldItTellsNothing) {
  record(three_and({40.0, 4.0, 0.1, 0.4}));
  tell_three();
  tell(25.0, 27.0, 29.0);
  expect({7.0, 12.0, 17.0, 27.0});
}

TEST_F(ClearTurns, APartRepThatTheTurnDoesNotShowStays) {
  record(kThree);
  tell_three();
  tell(20.0, 22.0, 24.0, true);
  expect({7.0, 12.0, 17.0, -22.0});
}

TEST_F(ClearTurns, ATurnAsSmallAsSwayTellsNothing) {
  std::vector<Lunge> lunges = three_and({40.0, 4.0, 0.1, 0.4});
  for (Lunge& l : lunges) l.turn = 0.02;
  record(lunges);
  tell_three();
  expect({7.0, 12.0, 17.0});
}

TEST_F(ClearTurns, WhatDoesNotRiseIsLeftAsItIs) {
  record(three_and({40.0, 4.0, 0.1, 0.4}));
  work.rises = false;
  tell_three();
  expect({7.0, 12.0, 17.0});
}

}  // namespace
}  // namespace strapline::dsp
