#include "strapline/dsp/alignment.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;
using testing::SwingingStrap;

struct Aligned {
  std::optional<SegmentAlignment> alignment;
  GridMotion motion;
};

Aligned align(const SwingingStrap& strap, double away_sign) {
  const auto series = smoothed_orientation(strap.record(16.0, 100.0));
  const Eigen::VectorXd t = uniform_times(0.0, 16.0, 100.0);
  GridMotion motion = on_grid(series, t);
  auto found = align_to_segment(motion, t, {0.5, 3.5}, {4.0, 14.0}, away_sign);
  return {found, std::move(motion)};
}

SwingingStrap bending(double range) {
  SwingingStrap strap;
  strap.swing = [range](double t) { return testing::bends(t, 4.0, 3, 2.5, 0.8, range); };
  return strap;
}

// 5, 10 and 20° of tilt, with 45° of twist about the limb.
TEST(Alignment, FindsTheSegmentBehindATiltedAndTwistedStrap) {
  for (const double tilt : {5.0, 10.0, 20.0}) {
    for (const double twist : {-45.0, 0.0, 45.0}) {
      SwingingStrap strap = bending(40.0 * kDegree);
      strap.q_segment_from_sensor = exp_rotation({0.0, twist * kDegree, 0.0}) *
                                    exp_rotation(Vector3d(0.6, 0.0, 0.8) * tilt * kDegree);
      const auto found = align(strap, 1.0).alignment;
      ASSERT_TRUE(found) << tilt << ' ' << twist;
      const Quaterniond left = strap.q_segment_from_sensor * found->q_sensor_from_segment;
      EXPECT_LT(log_rotation(left).norm(), 0.5 * kDegree) << tilt << ' ' << twist;
      EXPECT_LT(found->axis_u, 1.0 * kDegree);
    }
  }
}

TEST(Alignment, TheSignTellsFrontFromBack) {
  SwingingStrap strap = bending(-30.0 * kDegree);  // a shank: its Y goes forwards
  const auto found = align(strap, -1.0).alignment;
  ASSERT_TRUE(found);
  EXPECT_LT(log_rotation(found->q_sensor_from_segment).norm(), 0.5 * kDegree);
}

TEST(Alignment, StartHeadingIsTheSegmentsFacing) {
  SwingingStrap strap = bending(40.0 * kDegree);
  strap.q_segment_from_sensor = exp_rotation({0.0, 0.6, 0.0});
  const Aligned a = align(strap, 1.0);
  ASSERT_TRUE(a.alignment);
  const Quaterniond q = turn_about_vertical(-a.alignment->start_heading) *
                        a.motion.q_world_from_sensor[100] * a.alignment->q_sensor_from_segment;
  EXPECT_LT((q * Vector3d::UnitX() - Vector3d::UnitX()).norm(), 0.01);
}

/// Who sways has leaned one degree aside since the still part, before the bow, during it and after.
TEST(Alignment, ABowCountsFromHowTheClientStandsBesideIt) {
  const Eigen::VectorXd t = uniform_times(0.0, 16.0, 100.0);
  GridMotion motion;
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    const double bow = testing::bends(t[i], 8.0, 1, 4.0, 0.0, -30.0 * kDegree).angle;
    const double aside = t[i] > 4.0 ? kDegree : 0.0;
    motion.q_world_from_sensor.push_back(exp_rotation({0.0, 0.0, bow}) *
                                         exp_rotation({aside, 0.0, 0.0}));
    motion.known.push_back(1);
  }
  const auto found = align_to_segment(motion, t, {0.5, 3.5}, {5.0, 15.0}, -1.0);
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->start_heading, 0.0, 0.5 * kDegree);
}

TEST(Alignment, RefusesAMovementThatCarriesNoInformation) {
  EXPECT_FALSE(align(bending(3.0 * kDegree), 1.0).alignment);
}

}  // namespace
}  // namespace strapline::dsp
