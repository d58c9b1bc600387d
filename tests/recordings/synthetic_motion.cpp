// The simulator against its own derivatives: what it calls velocity, acceleration, angular rate
// and specific force must be that of the positions and orientations it gives.
#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "set_plan.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

Matrix3d turn_of(const Vector3d& rotation_vector) {
  const double angle = rotation_vector.norm();
  if (angle == 0.0) return Matrix3d::Identity();
  return Eigen::AngleAxisd(angle, rotation_vector / angle).toRotationMatrix();
}

Vector3d rotation_vector(const Matrix3d& rotation) {
  const Eigen::AngleAxisd aa(rotation);
  return aa.angle() * aa.axis();
}

/// The feet are placed anew, too.
SquatSetParams lively_params(std::uint64_t seed) {
  SquatSetParams params = random_squat_params(seed);
  params.restance = random_restance(seed);
  params.reps = 3;
  params.pause_after.reset();
  return params;
}

/// Largest error of central differences with step h, over the segment and the set.
struct DifferenceErrors {
  double velocity = 0.0, acceleration = 0.0, rate = 0.0;
};

DifferenceErrors difference_errors(const SquatMotion& motion, dsp::Placement placement, double h) {
  DifferenceErrors worst;
  for (double t = 0.31; t < motion.end_s() - 0.1; t += 0.0973) {
    const SegmentState now = motion.segment(placement, t);
    const SegmentState before = motion.segment(placement, t - h);
    const SegmentState after = motion.segment(placement, t + h);
    const Vector3d velocity = (after.position - before.position) / (2.0 * h);
    const Vector3d acceleration = (after.velocity - before.velocity) / (2.0 * h);
    const Vector3d rate =
        rotation_vector(after.world_from_segment * before.world_from_segment.transpose()) /
        (2.0 * h);
    worst.velocity = std::max(worst.velocity, (velocity - now.velocity).norm());
    worst.acceleration = std::max(worst.acceleration, (acceleration - now.acceleration).norm());
    worst.rate = std::max(worst.rate, (rate - now.angular_rate).norm());
  }
  return worst;
}

class EverySegment : public ::testing::TestWithParam<dsp::Placement> {};

// Halving the step of a second-order difference quarters its error.
TEST_P(EverySegment, CentralDifferencesAgreeToSecondOrder) {
  for (const Arms arms : {Arms::hanging, Arms::holding_bar}) {
    SquatSetParams params = lively_params(5);
    params.arms = arms;
    const SquatMotion motion(params);
    const DifferenceErrors coarse = difference_errors(motion, GetParam(), 4e-3);
    const DifferenceErrors fine = difference_errors(motion, GetParam(), 2e-3);
    EXPECT_LT(fine.velocity, 1e-3);
    EXPECT_LT(fine.acceleration, 1e-2);
    EXPECT_LT(fine.rate, 1e-2);
    const auto quartered = [](double big, double small) {
      return big < 1e-9 || (big / small > 3.3 && big / small < 4.7);
    };
    EXPECT_PRED2(quartered, coarse.velocity, fine.velocity);
    EXPECT_PRED2(quartered, coarse.acceleration, fine.acceleration);
    EXPECT_PRED2(quartered, coarse.rate, fine.rate);
  }
}

// Two Gauss points per step; the cross term as in the two-sample coning correction, whose law it
// is (Magnus series, fourth order; Iserles & Nørsett 1999, from memory). Over the whole set, with
// soft tissue.
TEST_P(EverySegment, IntegratedReadingsReproduceTheStrapsPath) {
  const SquatMotion motion(lively_params(8));
  Random random(3);
  const StrapMount mount = draw_mount(motion, GetParam(), {}, random);
  const double h = 1.0 / 500.0;
  const double root = std::sqrt(3.0);
  const double first = 0.5 - root / 6.0;
  const double second = 0.5 + root / 6.0;
  double t = 0.5;
  StrapState state = strap_state(motion, mount, t);
  Matrix3d rotation = state.world_from_sensor;
  Vector3d position = state.position;
  const StrapState soon = strap_state(motion, mount, t + 1e-4);
  const StrapState late = strap_state(motion, mount, t - 1e-4);
  Vector3d velocity = (soon.position - late.position) / 2e-4;
  const Vector3d gravity(0.0, -kGravity, 0.0);
  const auto steps = static_cast<int>((motion.end_s() - 1.0) / h);
  for (int i = 0; i < steps; ++i, t += h) {
    const StrapState a = strap_state(motion, mount, t + first * h);
    const StrapState b = strap_state(motion, mount, t + second * h);
    const Vector3d& wa = a.angular_rate;
    const Vector3d& wb = b.angular_rate;
    rotation = rotation * turn_of(0.5 * h * (wa + wb) + root / 12.0 * h * h * wa.cross(wb));
    const Vector3d acc_a = a.world_from_sensor * a.specific_force + gravity;
    const Vector3d acc_b = b.world_from_sensor * b.specific_force + gravity;
    position += h * velocity + 0.5 * h * h * ((1.0 - first) * acc_a + (1.0 - second) * acc_b);
    velocity += 0.5 * h * (acc_a + acc_b);
  }
  state = strap_state(motion, mount, t);
  EXPECT_LT(rotation_vector(rotation * state.world_from_sensor.transpose()).norm(), 1e-7);
  EXPECT_LT((position - state.position).norm(), 1e-5);  // the start velocity is a difference
}

// f_strap = Rᵀ(a + α×r + ω×(ω×r) + g up), rigid on the segment.
TEST_P(EverySegment, LeverArmLaw) {
  const SquatMotion motion(lively_params(13));
  StrapSetup setup;
  setup.soft_tissue = no_soft_tissue();
  Random random(4);
  const StrapMount mount = draw_mount(motion, GetParam(), setup, random);
  for (double t = 18.0; t < 24.0; t += 0.1) {
    const double h = 1e-4;
    const SegmentState now = motion.segment(GetParam(), t);
    const Vector3d alpha = (motion.segment(GetParam(), t + h).angular_rate -
                            motion.segment(GetParam(), t - h).angular_rate) /
                           (2.0 * h);
    const Vector3d r = now.world_from_segment * mount.lever;
    const Vector3d& w = now.angular_rate;
    const Vector3d force =
        now.acceleration + alpha.cross(r) + w.cross(w.cross(r)) + Vector3d(0.0, kGravity, 0.0);
    const Matrix3d world_from_sensor = now.world_from_segment * mount.segment_from_sensor;
    const StrapState strap = strap_state(motion, mount, t);
    EXPECT_LT((strap.specific_force - world_from_sensor.transpose() * force).norm(), 1e-5);
    EXPECT_LT((strap.angular_rate - world_from_sensor.transpose() * w).norm(), 1e-12);
  }
}

TEST_P(EverySegment, AtRestReadsGravityUpwardsAndNoTurn) {
  const SquatMotion motion(exact_params());
  Random random(6);
  const StrapMount mount = draw_mount(motion, GetParam(), {}, random);
  for (const double t : {0.0, 1.0, 3.9}) {
    const StrapState strap = strap_state(motion, mount, t);
    const Vector3d up = strap.world_from_sensor * strap.specific_force;
    EXPECT_LT((up - Vector3d(0.0, 9.80665, 0.0)).norm(), 1e-12);
    EXPECT_LT(strap.angular_rate.norm(), 1e-12);
  }
}

INSTANTIATE_TEST_SUITE_P(Synthetic, EverySegment, ::testing::ValuesIn(dsp::all_placements()),
                         [](const auto& placement) { return dsp::to_string(placement.param); });

// Real specific force has no steps: nor has this one, at the profiles' knots.
TEST(SyntheticMotion, SpecificForceIsContinuousAtEveryKnot) {
  const SquatMotion motion(lively_params(21));
  Random random(9);
  const StrapMount mount = draw_mount(motion, {dsp::Segment::thigh, dsp::Side::left}, {}, random);
  for (const Excursion& e : motion.excursions()) {
    for (const double knot :
         {e.start, e.start + e.lowering, e.lifting_start, e.end(), e.bottom, e.bottom + 1.0}) {
      const double h = 1e-7;
      const StrapState before = strap_state(motion, mount, knot - h);
      const StrapState after = strap_state(motion, mount, knot + h);
      EXPECT_LT((after.specific_force - before.specific_force).norm(), 1e-4);
      EXPECT_LT((after.angular_rate - before.angular_rate).norm(), 1e-4);
    }
  }
}

}  // namespace
}  // namespace strapline::recordings::synthetic
