// The body keeps its shape, the knee stays a hinge, and left mirrors right.
#include <cmath>
#include <functional>
#include <utility>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "set_plan.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;
using dsp::Side;
using Eigen::Matrix3d;
using Eigen::Vector3d;

void for_times(const SquatMotion& motion, const std::function<void(double)>& check) {
  for (double t = 0.0; t < motion.end_s(); t += 0.083) check(t);
}

TEST(SyntheticBody, LimbsKeepTheirLengthsAndFeetStayPut) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const SquatSetParams params = random_squat_params(seed);
    const SquatMotion motion(params);
    const BodyLengths body = lengths_of(params.body);
    const LegCentres left0 = motion.leg(Side::left, 0.0);
    for_times(motion, [&](double t) {
      const LegCentres left = motion.leg(Side::left, t);
      const LegCentres right = motion.leg(Side::right, t);
      EXPECT_NEAR((left.hip - left.knee).norm(), body.thigh, 1e-10);
      EXPECT_NEAR((right.hip - right.knee).norm(), body.thigh, 1e-10);
      EXPECT_NEAR((left.knee - left.ankle).norm(), body.shank, 1e-10);
      EXPECT_NEAR((right.knee - right.ankle).norm(), body.shank, 1e-10);
      EXPECT_NEAR((right.hip - left.hip).norm(), body.hip_spacing, 1e-9);
      EXPECT_EQ(left.ankle, left0.ankle);
    });
  }
}

TEST(SyntheticBody, SegmentAxesAreRightHandedAndAlongTheLimb) {
  const SquatMotion motion(random_squat_params(4));
  for_times(motion, [&](double t) {
    for (const dsp::Placement placement : dsp::all_placements()) {
      const Matrix3d r = motion.segment(placement, t).world_from_segment;
      EXPECT_LT((r.transpose() * r - Matrix3d::Identity()).norm(), 1e-9)
          << dsp::to_string(placement);
      EXPECT_NEAR(r.determinant(), 1.0, 1e-9);
    }
    for (const Side side : {Side::left, Side::right}) {
      const LegCentres leg = motion.leg(side, t);
      const Matrix3d thigh = motion.segment({Segment::thigh, side}, t).world_from_segment;
      const Matrix3d shank = motion.segment({Segment::shank, side}, t).world_from_segment;
      EXPECT_LT((thigh.col(1) - (leg.hip - leg.knee).normalized()).norm(), 1e-9);
      EXPECT_LT((shank.col(1) - (leg.knee - leg.ankle).normalized()).norm(), 1e-9);
      EXPECT_GT(thigh(2, 2), 0.3) << "Z to the right on both sides";
    }
  });
}

/// Grood & Suntay 1983: thighᵀ·shank = Rz(a)·Rx(b)·Ry(c).
struct KneeAngles {
  double flexion, tilt, twist;
};

KneeAngles knee_angles(const SquatMotion& motion, Side side, double t) {
  const Matrix3d r = motion.segment({Segment::thigh, side}, t).world_from_segment.transpose() *
                     motion.segment({Segment::shank, side}, t).world_from_segment;
  return {std::atan2(r(0, 1), r(1, 1)), std::asin(r(2, 1)), std::atan2(-r(2, 0), r(2, 2))};
}

TEST(SyntheticBody, KneeIsAHinge) {
  SquatSetParams params = random_squat_params(6);
  params.knee_twist = params.knee_wander = 0.0;
  const SquatMotion motion(params);
  for_times(motion, [&](double t) {
    for (const Side side : {Side::left, Side::right}) {
      const KneeAngles angles = knee_angles(motion, side, t);
      EXPECT_NEAR(angles.tilt, 0.0, 1e-10);
      EXPECT_NEAR(angles.twist, 0.0, 1e-10);
      const LegCentres leg = motion.leg(side, t);
      const double between =
          std::acos((leg.hip - leg.knee).normalized().dot((leg.knee - leg.ankle).normalized()));
      EXPECT_NEAR(angles.flexion, between, 1e-7);
      const BoneMeasures m = motion.measures(t);
      EXPECT_NEAR(side == Side::left ? m.knee_flexion.left : m.knee_flexion.right, between, 1e-7);
    }
  });
}

TEST(SyntheticBody, KneeTwistStaysWithinWhatWasAsked) {
  SquatSetParams params = exact_params();
  params.knee_twist = deg(4.0);
  const SquatMotion motion(params);
  double most = 0.0;
  for_times(motion, [&](double t) {
    const KneeAngles angles = knee_angles(motion, Side::left, t);
    most = std::max(most, std::hypot(angles.tilt, angles.twist));
  });
  EXPECT_GT(most, deg(2.0));
  EXPECT_LT(most, deg(4.2));
}

SquatSetParams mirrored(SquatSetParams p) {
  std::swap(p.stance.toe_out.left, p.stance.toe_out.right);
  std::swap(p.knee_line.left, p.knee_line.right);
  std::swap(p.parts.align_knee_line.left, p.parts.align_knee_line.right);
  p.asymmetry.flexion = -p.asymmetry.flexion;
  p.asymmetry.pelvis_shift = -p.asymmetry.pelvis_shift;
  p.asymmetry.pelvis_turn = -p.asymmetry.pelvis_turn;
  p.asymmetry.side_lean = -p.asymmetry.side_lean;
  p.posture.trunk_side_lean = -p.posture.trunk_side_lean;
  return p;
}

TEST(SyntheticBody, MirroredParametersGiveTheMirroredMovement) {
  SquatSetParams params = exact_params();
  params.stance.toe_out = {deg(10.0), deg(17.0)};
  params.knee_line = {cm(3.0), cm(-2.0)};
  params.parts.align_knee_line = {cm(1.0), 0.0};
  params.asymmetry = {deg(4.0), cm(1.5), deg(3.0), deg(2.0)};
  params.posture.trunk_side_lean = deg(1.0);
  params.knee_twist = 0.0;  // it is about the same axis on both sides, not mirrored
  const SquatMotion motion(params);
  const SquatMotion mirror(mirrored(params));
  for_times(motion, [&](double t) {
    const LegCentres left = motion.leg(Side::left, t);
    const LegCentres right = mirror.leg(Side::right, t);
    const Vector3d flip(1.0, 1.0, -1.0);
    EXPECT_LT((left.knee.cwiseProduct(flip) - right.knee).norm(), 1e-9);
    EXPECT_LT((left.hip.cwiseProduct(flip) - right.hip).norm(), 1e-9);
    const BoneMeasures a = motion.measures(t);
    const BoneMeasures b = mirror.measures(t);
    EXPECT_NEAR(a.thigh_depth.left, b.thigh_depth.right, 1e-9);
    EXPECT_NEAR(a.knee_flexion.left, b.knee_flexion.right, 1e-9);
    EXPECT_NEAR(a.hip_flexion.left, b.hip_flexion.right, 1e-9);
    EXPECT_NEAR(a.knee_line_distance.left, b.knee_line_distance.right, 1e-9);
    EXPECT_NEAR(a.knee_travel.right, b.knee_travel.left, 1e-9);
    EXPECT_NEAR(a.ankle_flexion.left, b.ankle_flexion.right, 1e-9);
    EXPECT_NEAR(a.trunk_lean, b.trunk_lean, 1e-9);
    EXPECT_NEAR(a.trunk_side_lean, -b.trunk_side_lean, 1e-9);
  });
}

TEST(SyntheticBody, FeetPlacedAnewStayThereAndTurnTheToeLineWithThem) {
  SquatSetParams params = exact_params();
  params.restance.toe_out = {deg(8.0), deg(-5.0)};
  params.restance.ankle_spacing = cm(4.0);
  const SquatMotion motion(params);
  const auto foot = [&](Side side, double t) {
    return motion.segment({dsp::Segment::foot, side}, t);
  };
  const auto toe_out = [&](Side side, double t) {
    const Eigen::Matrix3d frame = foot(side, t).world_from_segment;
    return (side == Side::right ? 1.0 : -1.0) * std::atan2(frame(2, 0), frame(0, 0));
  };
  const double before = motion.parts().align->to_s, set = motion.parts().set->from_s;
  EXPECT_NEAR(toe_out(Side::left, before), params.stance.toe_out.left, 1e-12);
  double highest = 0.0;
  for (double t = before; t < set; t += 0.01) {
    highest = std::max(highest, foot(Side::left, t).position.y());
  }
  EXPECT_GT(highest, motion.body().ankle_height + cm(1.0));  // a step, not a slide
  for (double t = set; t < motion.end_s(); t += 0.1) {
    EXPECT_NEAR(toe_out(Side::left, t), params.stance.toe_out.left + deg(8.0), 1e-12);
    EXPECT_NEAR(toe_out(Side::right, t), params.stance.toe_out.right - deg(5.0), 1e-12);
    EXPECT_NEAR(foot(Side::left, t).position.y(), motion.body().ankle_height, 1e-12);
    EXPECT_NEAR(foot(Side::right, t).position.z() - foot(Side::left, t).position.z(),
                params.stance.ankle_spacing + cm(4.0), 1e-12);
    EXPECT_NEAR((motion.leg(Side::left, t).ankle - foot(Side::left, t).position).norm(), 0.0,
                1e-12);
  }
}

// The ankle's flexion counts from standing; with flat feet and the knees over the toe line it is
// how far the shank leans.
TEST(SyntheticBody, AnkleFlexionIsTheLeanOfTheShankOverAFlatFoot) {
  SquatSetParams params = exact_params();
  params.stance.ankle_spacing = lengths_of(params.body).hip_spacing;
  params.stance.toe_out = {0.0, 0.0};
  params.knee_dip = 0.0;
  const SquatMotion motion(params);
  const auto lean = [&](double t) {
    const LegCentres leg = motion.leg(Side::left, t);
    return std::atan2(leg.knee.x() - leg.ankle.x(), leg.knee.y() - leg.ankle.y());
  };
  double most = 0.0;
  for_times(motion, [&](double t) {
    EXPECT_NEAR(motion.measures(t).ankle_flexion.left, lean(t) - lean(1.0), 1e-9);
    most = std::max(most, motion.measures(t).ankle_flexion.left);
  });
  EXPECT_GT(most, deg(20.0));
}

TEST(SyntheticBody, AlignmentBendsKeepTheKneeOverTheToeLineUpToTheStatedError) {
  SquatSetParams params = random_squat_params(9);
  params.sway = 0.0;
  params.parts.align_knee_line = {cm(1.0), cm(-0.5)};
  params.parts.align_knee_sd = cm(0.3);
  const SquatMotion motion(params);
  const dsp::Interval align = *motion.parts().align;
  const double standing = motion.measures(align.from_s).range_angle;
  int bent = 0;
  for (double t = align.from_s; t < align.to_s; t += 0.02) {
    const BoneMeasures m = motion.measures(t);
    if (m.range_angle - standing < params.parts.align_knee_within) continue;
    ++bent;
    // The asked error, reached in proportion to the bend, and 2.5 sigma of its variation.
    EXPECT_NEAR(m.knee_line_distance.left, cm(0.5), cm(0.5 + 0.75));
    EXPECT_NEAR(m.knee_line_distance.right, cm(-0.25), cm(0.25 + 0.75));
  }
  EXPECT_GT(bent, 200);
}

TEST(SyntheticBody, StandsAsItsPostureSays) {
  SquatSetParams params = exact_params();
  params.posture = {deg(2.0), deg(1.5), deg(3.0), deg(-1.0), deg(4.0), deg(-2.0)};
  const SquatMotion motion(params);
  const BoneMeasures m = motion.measures(1.0);
  EXPECT_NEAR(m.knee_flexion.left, deg(3.5), 1e-9);
  EXPECT_NEAR(m.trunk_lean, deg(4.0), deg(0.01));
  EXPECT_NEAR(m.trunk_side_lean, deg(-2.0), deg(0.01));
  // A straight leg's knee lies on the line from ankle to hip, inside the toe line in a stance wider
  // than the hips.
  const LegCentres leg = motion.leg(Side::right, 1.0);
  const Vector3d line = (leg.hip - leg.ankle).normalized();
  EXPECT_LT((leg.knee - leg.ankle).cross(line).norm(), 0.02);
  EXPECT_GT(m.knee_line_distance.right, 0.0);
}

}  // namespace
}  // namespace strapline::recordings::synthetic
