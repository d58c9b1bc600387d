#include "../../dsp/src/like_excursions.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using testing::bends;

constexpr double kRange = 0.7;  // rad
constexpr double kHangs = 3.0;  // rad, from where the reps begin
constexpr double kGesture = 4.6;

/// rad: four reps of 4 s each, the first from 26 s on, between an arm that hangs before and after,
/// and at first lifts something up and down.
double angle_at(double t) {
  const auto away = [](double s) { return kHangs * (0.5 - 0.5 * std::cos(std::min(3.2, s))); };
  if (t < 23.0) return away(23.0 - t) - bends(t, 1.0, 4, 3.0, 1.0, kGesture).angle;
  if (t > 48.0) return away(t - 48.0);
  return bends(t, 26.0, 4, 4.0, 1.0, kRange).angle;
}

/// Of which repetitions told of the second and the third.
SetWork half_told(const SetInput& input) {
  SetWork work = work_on(input, Eigen::VectorXd::LinSpaced(7001, 0.0, 70.0));
  work.range_angle = work.t.unaryExpr([](double t) { return angle_at(t); });
  PreparedStrap strap;
  for (const double angle : work.range_angle) {
    strap.motion.q_world_from_sensor.push_back(exp_rotation(angle * Eigen::Vector3d::UnitZ()));
  }
  strap.motion.known.assign(7001, 1);
  work.straps.push_back(strap);
  work.parts.set = {0.0, 70.0};
  work.repetitions = {{31.0, 35.0, 0.99, 0.3}, {36.0, 40.0, 0.99, 0.3}};
  return work;
}

TEST(LikeExcursions, AnArmThatHangsBesideTheRepsIsNotTheirMeasure) {
  const SetInput input;
  const SetWork work = half_told(input);
  const SegmentationParams params;
  const std::vector<Excursion> told =
      excursions_in(work.t, work.range_angle, 0.0, stretches_of(work.repetitions), params);
  const std::vector<Excursion> all = with_alike(work, told, params);
  ASSERT_EQ(all.size(), 4U);
  EXPECT_NEAR(all.front().start.time_s, 26.0, 0.3);
  EXPECT_NEAR(all.back().end.time_s, 45.0, 0.3);
}

TEST(LikeExcursions, AfterAPauseWhatGoesFromRestAtHomeToRestThereIsOneThatNothingToldOf) {
  const SetInput input;
  SetWork work = half_told(input);
  const auto turn_with = [&](double away_s, double offset) {
    for (Eigen::Index i = 0; i < work.t.size(); ++i) {
      const double t = work.t[i];
      // Hands that come down to the floor turn the strap right before, and go the reps' way on.
      const double beside = std::abs(t - away_s) < 0.3 ? offset : 0.0;
      work.range_angle[i] = bends(t, 6.0, 1, 4.0, 1.0, kRange).angle +
                            bends(t, 26.0, 3, 4.0, 1.0, kRange).angle + beside;
      work.straps[0].motion.q_world_from_sensor[static_cast<std::size_t>(i)] =
          exp_rotation(work.range_angle[i] * Eigen::Vector3d::UnitZ());
    }
    const SegmentationParams params;
    return with_alike(
               work,
               excursions_in(work.t, work.range_angle, 0.0, stretches_of(work.repetitions), params),
               params)
        .size();
  };
  EXPECT_EQ(turn_with(0.0, 0.0), 4U);
  EXPECT_EQ(turn_with(5.6, 0.05), 3U);
  EXPECT_EQ(turn_with(10.6, 0.05), 3U);
}

TEST(LikeExcursions, AShortGapLosesNoRep) {
  const SetInput input;
  SetWork work = half_told(input);
  const SegmentationParams params;
  const std::vector<Excursion> told =
      excursions_in(work.t, work.range_angle, 0.0, stretches_of(work.repetitions), params);
  work.range_angle.segment(2780, 10).setConstant(std::numeric_limits<double>::quiet_NaN());
  EXPECT_EQ(with_alike(work, told, params).size(), 4U);
}

}  // namespace
}  // namespace strapline::dsp
