// Presses, pulls and rows of the simulator: held against numerical differentiation, against
// geometry worked out here, and against their own mirror image.
#include <cmath>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "arm_chain.hpp"
#include "strap_derivatives.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Placement;
using dsp::Segment;
using dsp::Side;

ArmSetParams exact_arms(ArmMovement movement) {
  ArmSetParams params = usual_arm_params(movement);
  params.reps = 2;
  params.variation = {0.0, 0.0, 0.0, 0.0, 0.0};
  params.fatigue_flexion = params.sway = 0.0;
  return params;
}

double bone(const BodyMotion& motion, std::string_view base, Side side, double t) {
  for (const BoneValue& value : motion.bones(t)) {
    if (value.base == base && value.side == side) return value.value;
  }
  ADD_FAILURE() << base;
  return 0.0;
}

class EveryArmMovement : public ::testing::TestWithParam<ArmMovement> {};

INSTANTIATE_TEST_SUITE_P(Synthetic, EveryArmMovement, ::testing::ValuesIn(arm_movements()),
                         [](const auto& one) { return movement_name(one.param); });

// The draws keep their number and order: only what the client does badly goes away.
TEST_P(EveryArmMovement, PlumbClientsDoTheSameSet) {
  const ArmSetParams usual = random_arm_params(5, GetParam());
  const ArmSetParams plumb = random_arm_params(5, GetParam(), {0.0, 0.0});
  EXPECT_NE(usual.standing.trunk_lean, 0.0);
  EXPECT_EQ(plumb.standing.trunk_lean, 0.0);
  EXPECT_EQ(plumb.standing.arm_forwards.left, 0.0);
  EXPECT_EQ(plumb.standing.arm_out.right, deg(4.0));
  EXPECT_EQ(plumb.parts.raise_plane.left, 0.0);
  EXPECT_EQ(plumb.parts.bow_plane, 0.0);
  EXPECT_EQ(plumb.standing.elbow_flexion.left, usual.standing.elbow_flexion.left);
  EXPECT_EQ(plumb.parts.bow_travel, usual.parts.bow_travel);
  EXPECT_EQ(plumb.reps, usual.reps);
  EXPECT_EQ(plumb.rounding_more, usual.rounding_more);
}

// Central differences of position and orientation, step 0.1 ms: truncation and rounding stay below
// 1e-3 m/s² and 1e-5 rad/s. Times lie in every part, soft tissue and its ringing included.
TEST_P(EveryArmMovement, SensorsFeelTheDerivativesOfTheirPath) {
  const ArmMotion motion = make_motion(random_arm_params(3, GetParam())).value();
  for (const Placement placement : arm_straps().placements) {
    Random random(5);
    const StrapMount mount = draw_mount(motion, placement, arm_straps(), random);
    for (double t = 1.0; t < motion.end_s() - 1.0; t += 0.37) {
      SCOPED_TRACE(dsp::to_string(placement));
      expect_derivatives_of_the_path(motion, mount, t);
    }
  }
}

TEST_P(EveryArmMovement, HandsStayWhereTheyHoldOnAndBonesKeepTheirLength) {
  const ArmMotion motion = make_motion(exact_arms(GetParam())).value();
  const BodyLengths& body = motion.body();
  Eigen::Vector3d first = Eigen::Vector3d::Zero();
  const dsp::Interval set = *motion.parts().set;
  for (double t = set.from_s + 0.1; t < set.to_s - 0.1; t += 0.05) {
    const SegmentState upper = motion.segment({Segment::upper_arm, Side::right}, t);
    const SegmentState fore = motion.segment({Segment::forearm, Side::right}, t);
    EXPECT_NEAR((upper.position - fore.position).norm(), body.upper_arm, 1e-9);
    const Eigen::Vector3d hand = fore.position - body.forearm * fore.world_from_segment.col(1);
    if (first.isZero()) first = hand;
    if (!setting_of(GetParam()).hands_fixed) continue;
    EXPECT_LT((hand - first).norm(), 1e-9) << t;
  }
}

// Law of cosines, shoulder to hand, against the flexion that the truth states.
TEST_P(EveryArmMovement, ElbowFlexionFitsTheDistanceFromShoulderToHand) {
  const ArmMotion motion = make_motion(random_arm_params(8, GetParam())).value();
  const double a = motion.body().upper_arm;
  const double b = motion.body().forearm;
  for (double t = 0.5; t < motion.end_s(); t += 0.21) {
    const SegmentState upper = motion.segment({Segment::upper_arm, Side::left}, t);
    const SegmentState fore = motion.segment({Segment::forearm, Side::left}, t);
    const Eigen::Vector3d hand = fore.position - b * fore.world_from_segment.col(1);
    const double apart = (upper.position - hand).squaredNorm();
    const double flexion = std::acos((apart - a * a - b * b) / (2.0 * a * b));
    EXPECT_NEAR(bone(motion, "elbow_flexion", Side::left, t), flexion, 1e-6);
  }
}

TEST_P(EveryArmMovement, RepsReachWhatIsAsked) {
  const ArmSetParams params = exact_arms(GetParam());
  for (const RepTruth& rep : rep_truth(make_motion(params).value())) {
    const double bent = std::max(params.turn_flexion, params.start_flexion);
    EXPECT_NEAR(rep.value("elbow_flexion_left"), bent, deg(0.5));
    // The rep begins where the rate passes 5 % of its peak: a little of the way is behind it then.
    EXPECT_NEAR(rep.range, std::abs(params.turn_flexion - params.start_flexion), deg(0.5));
    EXPECT_NEAR(rep.value("body_line_at_turn"), params.body_line + params.body_line_more, deg(0.1));
    EXPECT_NEAR(rep.value("back_rounding"), params.rounding + params.rounding_more, deg(0.1));
    EXPECT_NEAR(
        rep.turn_out_s - rep.turn_in_s,
        setting_of(GetParam()).lowers_first ? params.tempo.bottom_hold : params.tempo.top_hold,
        0.1);
  }
}

TEST_P(EveryArmMovement, MirroredSetsHaveMirroredMeasures) {
  ArmSetParams params = random_arm_params(11, GetParam());
  params.sway = 0.0;
  params.variation.elbow_turn = 0.0;
  ArmSetParams mirrored = params;
  for (Sides* sides :
       {&mirrored.standing.arm_out, &mirrored.standing.arm_forwards, &mirrored.standing.arm_turn,
        &mirrored.standing.elbow_flexion, &mirrored.parts.raise_plane, &mirrored.elbow_turn,
        &mirrored.forearm_twist}) {
    std::swap(sides->left, sides->right);
  }
  for (double* sideways :
       {&mirrored.standing.trunk_side_lean, &mirrored.parts.bow_plane, &mirrored.set_side_lean,
        &mirrored.set_turn, &mirrored.flexion_difference}) {
    *sideways = -*sideways;
  }
  const ArmMotion one = make_motion(params).value();
  const ArmMotion other = make_motion(mirrored).value();
  for (double t = 0.5; t < one.end_s(); t += 0.43) {
    for (const char* base : {"elbow_flexion", "elbow_flare", "elbow_plane", "forearm_tilt"}) {
      const double left = bone(one, base, Side::left, t);
      const double right = bone(other, base, Side::right, t);
      if (std::isnan(left) && std::isnan(right)) continue;
      EXPECT_NEAR(left, right, 1e-6) << base << " at " << t;
    }
    EXPECT_NEAR(bone(one, "trunk_lean", Side::middle, t),
                bone(other, "trunk_lean", Side::middle, t), 1e-6);
    EXPECT_NEAR(bone(one, "trunk_side_lean", Side::middle, t),
                -bone(other, "trunk_side_lean", Side::middle, t), 1e-6);
  }
}

TEST(SyntheticArms, ElbowsGoWhereTheyAreAsked) {
  ArmSetParams params = exact_arms(ArmMovement::push_up);
  double last = 0.0;
  for (const double turn : {5.0, 30.0, 60.0, 85.0}) {
    params.elbow_turn = {deg(turn), deg(turn)};
    const double flare = rep_truth(make_motion(params).value())[0].value("elbow_flare_right");
    EXPECT_GT(flare, last + deg(10.0));
    last = flare;
  }
  EXPECT_GT(last, deg(60.0));
  // Standing with hanging arms, flare is how far they hang outwards.
  const ArmMotion motion = make_motion(params).value();
  EXPECT_NEAR(bone(motion, "elbow_flare", Side::left, 1.0), deg(4.0), deg(0.01));
}

TEST(SyntheticArms, RefusesWhatItCannotDo) {
  ArmSetParams params;
  params.turn_flexion = deg(200.0);
  EXPECT_NE(make_motion(params).error().line().find("elbow flexion at the turn"),
            std::string::npos);
  StrapSetup setup = arm_straps();
  setup.placements.push_back({Segment::foot, Side::left});
  EXPECT_NE(synthesize_set(ArmSetParams{}, setup).error().line().find("left_foot"),
            std::string::npos);
}

}  // namespace
}  // namespace strapline::recordings::synthetic
