#include "../../dsp/src/alike_turns.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;
using testing::bends;

constexpr Index kSamples = 6001;  // 60 s

/// A thigh that tilts there and back, a raised cosine, about an axis of the world.
struct Hinge {
  double start_s, length_s, turn;  // s, s, rad
  Vector3d axis = Vector3d::UnitX();
};

const std::vector<Hinge> kTwo{{5.0, 4.0, 0.35}, {10.0, 4.0, 0.35}};

struct AlikeTurns : ::testing::Test {
  AlikeTurns() : work(work_on(input, VectorXd::LinSpaced(kSamples, 0.0, 60.0))) {}

  /// `kTwo`, which are told, and another motion; from `leans_s` on the strap sits leaned on it.
  void record(const Hinge& other, double leans_s = 1e9, double lean = 0.0) {
    PreparedStrap strap;
    strap.motion.known.assign(kSamples, 1);
    work.range_angle = VectorXd::Zero(kSamples);
    for (Index i = 0; i < kSamples; ++i) {
      const double t = work.t[i];
      double two = 0.0;
      for (const Hinge& h : kTwo) two += bends(t, h.start_s, 1, h.length_s, 0.0, h.turn).angle;
      const double third = bends(t, other.start_s, 1, other.length_s, 0.0, other.turn).angle;
      work.range_angle[i] = two + third;
      Eigen::Quaterniond q =
          exp_rotation(two * Vector3d::UnitX()) * exp_rotation(third * other.axis);
      if (t > leans_s) q = q * exp_rotation(lean * Vector3d::UnitX());
      strap.motion.q_world_from_sensor.push_back(q);
    }
    work.straps = {strap};
    work.parts.set = {0.0, 60.0};
    for (const Hinge& h : kTwo) tell(h);
  }

  void tell(const Hinge& h) {
    Excursion e;
    e.start.time_s = h.start_s + 0.1;
    e.turn_in.time_s = e.turn_out.time_s = h.start_s + 0.5 * h.length_s;
    e.end.time_s = h.start_s + h.length_s - 0.1;
    e.turn_index = nearest_index(work.t, e.turn_in.time_s);
    e.range = h.turn;
    work.excursions.push_back(e);
    work.repetitions.push_back({h.start_s, h.start_s + h.length_s, 0.98, 0.2});
  }

  std::size_t count() { return with_alike_turns(work, {}).size(); }

  SetInput input;
  SetWork work;
};

TEST_F(AlikeTurns, TheLastAfterAPauseIsOneHoweverItGrinds) {
  record({40.0, 10.0, 0.33});
  const std::vector<Excursion> reps = with_alike_turns(work, {});
  ASSERT_EQ(reps.size(), 3U);
  EXPECT_FALSE(reps.back().part);
  EXPECT_NEAR(reps.back().turn_in.time_s, 45.0, 0.6);
}

TEST_F(AlikeTurns, WhatGoesAnotherWayIsNone) {
  record({40.0, 4.0, 0.35, Vector3d(1.0, 1.0, 0.0).normalized()});
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatIsNarrowerIsNone) {
  record({40.0, 4.0, 0.25});
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatIsFarWiderIsNone) {
  record({40.0, 4.0, 0.5});
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatIsQuickIsNone) {
  record({40.0, 2.5, 0.35});
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatTakesForEverIsNone) {
  record({40.0, 15.0, 0.35});
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatBeginsInAnotherPostureIsNone) {
  record({40.0, 4.0, 0.35}, 30.0, 0.1);
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, WhatWasToldIsNotToldAgain) {
  record({40.0, 4.0, 0.35});
  tell({40.0, 4.0, 0.35});
  EXPECT_EQ(count(), 3U);
}

TEST_F(AlikeTurns, OneAloneShowsNothingUsual) {
  record({40.0, 4.0, 0.35});
  work.excursions.pop_back();
  EXPECT_EQ(count(), 1U);
}

TEST_F(AlikeTurns, WhereToldOnesDitherItTellsNothing) {
  record({40.0, 4.0, 0.35});
  for (Index i = 500; i < 1500; ++i) work.range_angle[i] += 0.03 * std::sin(9.0 * work.t[i]);
  EXPECT_EQ(count(), 2U);
}

TEST_F(AlikeTurns, TheQuickestOfTheFullOnesTellsThePace) {
  // Of two, one grinds.
  record({40.0, 4.0, 0.35});
  for (Index i = 0; i < kSamples; ++i) {
    const double slow = bends(work.t[i], 10.0, 1, 9.0, 0.0, 0.35).angle;
    const double quick = bends(work.t[i], 10.0, 1, 4.0, 0.0, 0.35).angle;
    work.range_angle[i] += slow - quick;
    work.straps[0].motion.q_world_from_sensor[static_cast<std::size_t>(i)] =
        exp_rotation(work.range_angle[i] * Vector3d::UnitX());
  }
  work.excursions.pop_back();
  tell({10.0, 9.0, 0.35});
  EXPECT_EQ(count(), 3U);
}

TEST_F(AlikeTurns, NoneLeavesNone) {
  record({40.0, 4.0, 0.35});
  work.excursions.clear();
  EXPECT_EQ(count(), 0U);
}

}  // namespace
}  // namespace strapline::dsp
