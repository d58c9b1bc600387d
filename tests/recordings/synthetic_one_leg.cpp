// Split squats, lunges, step-downs and hinges of the simulator: against numerical differentiation
// and geometry worked out here.
#include <cmath>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "strapline/recordings/synthetic/one_leg_motion.hpp"

#include "one_leg_chain.hpp"
#include "strap_derivatives.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Placement;
using dsp::Segment;
using dsp::Side;

OneLegSetParams exact(OneLegMovement movement) {
  OneLegSetParams params = usual_one_leg_params(movement);
  params.reps = 4;
  params.variation = {0.0, 0.0, 0.0, 0.0, 0.0};
  params.sway = params.knee_wander = 0.0;
  params.parts.align_knee_sd = 0.0;
  params.slant = {0.0, 0.0};
  return params;
}

class EveryOneLegMovement : public ::testing::TestWithParam<OneLegMovement> {};

INSTANTIATE_TEST_SUITE_P(Synthetic, EveryOneLegMovement, ::testing::ValuesIn(one_leg_movements()),
                         [](const auto& one) { return movement_name(one.param); });

// Central differences, step 0.1 ms, as for the arms.
TEST_P(EveryOneLegMovement, SensorsFeelTheDerivativesOfTheirPath) {
  const OneLegMotion motion = make_motion(random_one_leg_params(3, GetParam())).value();
  std::vector<Placement> placements = StrapSetup{}.placements;
  placements.push_back({Segment::foot, Side::left});
  placements.push_back({Segment::foot, Side::right});
  for (const Placement placement : placements) {
    Random random(5);
    const StrapMount mount = draw_mount(motion, placement, StrapSetup{}, random);
    for (double t = 1.0; t < motion.end_s() - 1.0; t += 0.37) {
      SCOPED_TRACE(dsp::to_string(placement));
      expect_derivatives_of_the_path(motion, mount, t);
    }
  }
}

TEST_P(EveryOneLegMovement, RepsReachTheAskedDepthOnTheirSide) {
  const OneLegSetParams params = exact(GetParam());
  const auto reps = rep_truth(make_motion(params).value());
  ASSERT_EQ(reps.size(), 4U);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const bool turn_by_turn = GetParam() == OneLegMovement::lunge;
    const Side expected = turn_by_turn && k % 2 == 1 ? Side::right : Side::left;
    EXPECT_EQ(reps[k].side, expected);
    const std::string working = dsp::side_suffix(expected);
    EXPECT_NEAR(reps[k].value("thigh_depth" + working), params.depth, deg(0.3));
    EXPECT_EQ(reps[k].measures.contains("thigh_depth_left"), expected == Side::left);
    EXPECT_FALSE(reps[k].part);
  }
}

/// The ankle of a leg, from the shank's frame.
Eigen::Vector3d ankle(const BodyMotion& motion, Side side, double t) {
  const SegmentState shank = motion.segment({Segment::shank, side}, t);
  return shank.position - motion.body().shank * shank.world_from_segment.col(1);
}

TEST(SyntheticOneLeg, TheWorkingFootOfASplitSquatStaysWhereItIs) {
  const OneLegMotion motion = make_motion(exact(OneLegMovement::split_squat)).value();
  const dsp::Interval set = *motion.parts().set;
  const Eigen::Vector3d first = ankle(motion, Side::left, set.from_s + 0.1);
  const Eigen::Vector3d rear = ankle(motion, Side::right, set.from_s + 0.1);
  for (double t = set.from_s + 0.1; t < set.to_s - 0.1; t += 0.05) {
    EXPECT_LT((ankle(motion, Side::left, t) - first).norm(), 0.002) << t;
    // The rear one rolls over its toes: its ankle's path is a plausible one, not an exact one.
    EXPECT_LT((ankle(motion, Side::right, t) - rear).norm(), 0.12) << t;
  }
  EXPECT_NEAR(first.x() - rear.x(), 0.72, 0.1);  // the step, less the rolled heel
}

TEST(SyntheticOneLeg, ALungeStepsAheadAndComesBack) {
  const OneLegSetParams params = exact(OneLegMovement::lunge);
  const OneLegMotion motion = make_motion(params).value();
  const auto reps = rep_truth(motion);
  const double before = ankle(motion, Side::left, reps[0].start_s - 0.3).x();
  EXPECT_NEAR(ankle(motion, Side::left, reps[0].turn_s).x() - before, params.step, 0.01);
  EXPECT_NEAR(ankle(motion, Side::left, reps[1].turn_s).x(), before, 0.12);  // the rear foot now
  EXPECT_NEAR(ankle(motion, Side::right, reps[1].turn_s).x() - before, params.step, 0.01);
}

TEST(SyntheticOneLeg, PartRepsAndTheGrindAreTold) {
  OneLegSetParams params = exact(OneLegMovement::split_squat);
  params.part_reps = {1};
  params.grind = 2.5;
  const auto reps = rep_truth(make_motion(params).value());
  EXPECT_TRUE(reps[1].part);
  EXPECT_FALSE(reps[0].part);
  EXPECT_GT(reps[3].end_s - reps[3].turn_out_s, 2.0 * (reps[0].end_s - reps[0].turn_out_s));
}

TEST(SyntheticHinge, RepsAreOfTheHipAndTheBackRounds) {
  SquatSetParams params = usual_squat_params(SquatMovement::hip_hinge);
  params.variation = {0.0, 0.0, 0.0, 0.0, 0.0};
  params.sway = params.knee_wander = 0.0;
  const SquatMotion motion = make_motion(params).value();
  EXPECT_EQ(motion.range_name(), "hip_flexion");
  for (const RepTruth& rep : rep_truth(motion)) {
    // Pelvis 0.85 of the trunk's lean, and the thighs 24° from plumb (1° when standing).
    EXPECT_NEAR(rep.value("hip_flexion_left"), 0.85 * params.trunk_lean + deg(24.0), deg(1.5));
    EXPECT_NEAR(rep.value("trunk_lean"), params.trunk_lean, deg(0.3));
    EXPECT_NEAR(rep.value("back_rounding"), 0.075 * params.trunk_lean, deg(0.3));
  }
}

}  // namespace
}  // namespace strapline::recordings::synthetic
