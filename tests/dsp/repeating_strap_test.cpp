#include "../../dsp/src/repeating_strap.hpp"

#include <gtest/gtest.h>

#include "strapline/dsp/calibration.hpp"
#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using testing::bends;
using testing::Swing;

constexpr Index kSamples = 6001;  // 60 s

/// Six reps from 10 s on that lower a strap by 30 cm, 4 s each, and hardly turn it.
Swing lowers(double t) { return bends(t, 10.0, 6, 4.0, 1.5, 0.3); }

/// A set of one strap that does so as far as its `readings` tell, or as its `filter`.
struct Set {
  SetInput input;
  VectorXd t = VectorXd::LinSpaced(kSamples, 0.0, 60.0);

  SetWork work(bool readings, bool filter) {
    StrapSeries series;
    series.data.t = t;
    series.data.gyr = Eigen::Matrix3Xd::Zero(3, kSamples);
    series.data.acc = Eigen::Matrix3Xd::Zero(3, kSamples);
    PreparedStrap strap;
    strap.motion.known.assign(kSamples, 1);
    strap.motion.vertical_velocity = VectorXd::Zero(kSamples);
    strap.motion.q_world_from_sensor.assign(kSamples, Eigen::Quaterniond::Identity());
    for (Index i = 0; i < kSamples; ++i) {
      const Swing down = lowers(t[i]);
      if (filter) strap.motion.vertical_velocity[i] = -down.rate;
      series.data.acc.col(i) = kStandardGravity * world_up();
      if (readings) series.data.acc.col(i) -= down.acceleration * world_up();
      if (readings) series.data.gyr(2, i) = 0.05 * (down.rate > 0.0 ? 1.0 : -1.0);
      if (down.rate == 0.0) series.data.gyr(2, i) = 0.0;
    }
    input.straps = {series};
    SetWork work = work_on(input, t, {strap});
    work.parts.set = {0.0, 60.0};
    return work;
  }
};

TEST(RepeatingStrap, ShowsWhatItsHeightFromRestToRestTells) {
  Set set;
  EXPECT_EQ(repeating_strap(set.work(true, false)).set.reps.size(), 6U);
}

TEST(RepeatingStrap, ShowsWhatTheFiltersHeightTells) {
  Set set;
  EXPECT_EQ(repeating_strap(set.work(false, true)).set.reps.size(), 6U);
}

TEST(RepeatingStrap, WithoutRepsIsTheOneThatTurned) {
  Set set;
  const SetWork work = set.work(false, false);
  const TurningStrap found = repeating_strap(work);
  EXPECT_EQ(found.strap, &work.straps.front());
  EXPECT_TRUE(found.set.reps.empty());
  EXPECT_EQ(found.set.told, 0.0);
}

}  // namespace
}  // namespace strapline::dsp
