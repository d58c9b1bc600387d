#include "../../dsp/src/depth_share.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "strapline/dsp/joint_angles.hpp"

namespace strapline::dsp {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

class DepthShare : public ::testing::Test {
 protected:
  DepthShare() {
    work.range_angle = Eigen::Vector4d(0.1, 0.6, 1.1, kNaN);
    work.start_level = 0.1;
    Excursion deepest;
    deepest.range = 1.0;
    deepest.turn_index = 2;
    work.excursions = {deepest};
  }

  /// A strap that at the deepest turn, sample 2, leans `lean` backwards; known there or not.
  void wear(Segment segment, double lean, bool known = true) {
    PreparedStrap strap;
    strap.placement = {segment, Side::left};
    strap.alignment.emplace();
    strap.q_world_from_segment.assign(4, Eigen::Quaterniond::Identity());
    strap.q_world_from_segment[2] = Eigen::AngleAxisd(lean, Eigen::Vector3d::UnitZ());
    strap.motion.known.assign(4, true);
    strap.motion.known[2] = known;
    work.straps.push_back(std::move(strap));
  }

  void expect_shares(const Eigen::Vector3d& expected) const {
    const Eigen::VectorXd share = depth_share(work);
    ASSERT_EQ(share.size(), 4);
    EXPECT_TRUE(share.head<3>().isApprox(expected, 1e-12)) << share.transpose();
    EXPECT_EQ(share[3], 0.0) << "nothing is known of a gap";
  }

  SetInput input;
  SetWork work = work_on(input);
};

TEST_F(DepthShare, OfAnElbowIsItsFlexion) {
  work.range_trace = "elbow_flexion";
  expect_shares(Eigen::Vector3d(0.1, 0.6, 1.1) / kFullFlexion);
}

TEST_F(DepthShare, OfAnElbowThatExtendsIsItsFlexionToo) {
  work.range_trace = "elbow_extension";
  work.range_angle = Eigen::Vector4d(-1.8, -0.9, 0.0, kNaN);
  expect_shares(Eigen::Vector3d(1.8, 0.9, 0.0) / kFullFlexion);
}

TEST_F(DepthShare, WhereNoJointIsSeenIsTheWayToTheDeepestPoint) {
  work.range_trace = "trunk_lean";
  expect_shares(Eigen::Vector3d(0.0, 0.5, 1.0));
}

TEST_F(DepthShare, OfASquatEndsAtTheFlexionOfItsDeepestPoint) {
  work.range_trace = "thigh_depth";
  wear(Segment::thigh, 1.0);
  wear(Segment::shank, -0.4);
  const double flexion = std::abs(
      knee_flexion(work.straps[0].q_world_from_segment[2], work.straps[1].q_world_from_segment[2]));
  ASSERT_NEAR(flexion, 1.4, 1e-12);
  expect_shares(Eigen::Vector3d(0.0, 0.5, 1.0) * flexion / kFullFlexion);
}

TEST_F(DepthShare, OfASquatWhoseShankIsNotKnownAtItsDeepestPointIsTheWay) {
  work.range_trace = "thigh_depth";
  wear(Segment::thigh, 1.0);
  wear(Segment::shank, -0.4, false);
  expect_shares(Eigen::Vector3d(0.0, 0.5, 1.0));
}

}  // namespace
}  // namespace strapline::dsp
