// What happens besides the reps: it is there, it leaves the truth alone, and sensors feel it as the
// derivatives of their path.
#include <cmath>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "strapline/recordings/synthetic/one_leg_motion.hpp"

#include "excursion.hpp"
#include "stirred_motion.hpp"
#include "strap_motion.hpp"
#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

using dsp::Segment;
using dsp::Side;

std::shared_ptr<const BodyMotion> motion_of(const SetParams& params) {
  return std::visit(
      [](const auto& one) -> std::shared_ptr<const BodyMotion> {
        const auto made = make_motion(one);
        EXPECT_TRUE(made) << made.error().line();
        return std::make_shared<std::decay_t<decltype(*made)>>(*made);
      },
      params);
}

class EveryMovement : public ::testing::TestWithParam<std::string> {};

INSTANTIATE_TEST_SUITE_P(Synthetic, EveryMovement, ::testing::ValuesIn(simulated_movements()),
                         [](const auto& one) { return one.param; });

TEST_P(EveryMovement, DisturbedSetsAreMadeWithTwoPartRepsAPauseAndAGrind) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const auto params = disturbed(random_params(GetParam(), seed).value(), all_disturbances());
    const auto motion = stirred(motion_of(params), all_disturbances());
    const auto reps = rep_truth(*motion);
    ASSERT_GE(reps.size(), 6U);
    EXPECT_EQ(std::count_if(reps.begin(), reps.end(), [](const auto& r) { return r.part; }), 2);
    double longest = 0.0;
    for (std::size_t k = 1; k < reps.size(); ++k) {
      longest = std::max(longest, reps[k].start_s - reps[k - 1].end_s);
    }
    EXPECT_GE(longest, 9.9);
    EXPECT_LE(longest, 33.0);
    // The set part holds what happens around the reps.
    EXPECT_GT(reps.front().start_s - motion->parts().set->from_s, 15.0);
    EXPECT_GT(motion->parts().set->to_s - reps.back().end_s, 15.0);
  }
}

TEST_P(EveryMovement, SensorsFeelTheDerivativesOfADisturbedPath) {
  const auto params = disturbed(random_params(GetParam(), 4).value(), all_disturbances());
  const auto motion = stirred(motion_of(params), all_disturbances());
  constexpr double h = 1e-4;
  for (const dsp::Placement placement : usual_straps(params).placements) {
    Random random(5);
    const StrapMount mount = draw_mount(*motion, placement, StrapSetup{}, random);
    for (double t = motion->parts().align->to_s; t < motion->end_s() - 1.0; t += 0.53) {
      const StrapState now = strap_state(*motion, mount, t);
      const StrapState before = strap_state(*motion, mount, t - h);
      const StrapState after = strap_state(*motion, mount, t + h);
      const Eigen::Vector3d acceleration =
          (after.position - 2.0 * now.position + before.position) / (h * h);
      const Eigen::Vector3d force =
          now.world_from_sensor.transpose() * (acceleration + kGravity * Eigen::Vector3d::UnitY());
      EXPECT_LT((force - now.specific_force).norm(), 2e-3) << dsp::to_string(placement) << t;
      const Eigen::AngleAxisd turn(
          Eigen::Matrix3d(before.world_from_sensor.transpose() * after.world_from_sensor));
      const Eigen::Vector3d rate = turn.axis() * turn.angle() / (2.0 * h);
      EXPECT_LT((rate - now.angular_rate).norm(), 1e-4) << dsp::to_string(placement) << t;
    }
  }
}

TEST_P(EveryMovement, NothingElseMovesDuringAReps) {
  const auto params = disturbed(random_params(GetParam(), 6).value(), all_disturbances());
  const auto plain = motion_of(params);
  const auto motion = stirred(plain, all_disturbances());
  for (const Excursion& e : plain->excursions()) {
    const Eigen::Matrix3d first =
        motion->segment({Segment::thigh, Side::left}, e.start).world_from_segment *
        plain->segment({Segment::thigh, Side::left}, e.start).world_from_segment.transpose();
    for (double t = e.start; t < e.end(); t += 0.1) {
      const Eigen::Matrix3d moved =
          motion->segment({Segment::thigh, Side::left}, t).world_from_segment;
      const Eigen::Matrix3d bare =
          plain->segment({Segment::thigh, Side::left}, t).world_from_segment;
      EXPECT_LT((moved - first * bare).norm(), 1e-9) << t;  // turned as a whole by the walk-out
    }
  }
}

TEST(Disturbances, NamesAreReadAndOthersRefused) {
  EXPECT_TRUE(parse_disturbances({"walk_out"})->walk_out);
  EXPECT_FALSE(parse_disturbances({"walk_out"})->grind);
  EXPECT_TRUE(parse_disturbances({"all"})->grind);
  EXPECT_EQ(disturbance_names().size(), 8U);
  EXPECT_NE(parse_disturbances({"earthquake"}).error().line().find("use one of all, unracking"),
            std::string::npos);
}

TEST(Idle, HasNoRepAndMovesAlot) {
  for (const char* expected : {"squat", "push_up"}) {
    IdleParams idle;
    idle.expected = expected;
    idle.minutes = 2.0;
    StrapSetup setup = usual_straps(random_params(expected, 1).value());
    const auto set = synthesize_idle(idle, setup);
    ASSERT_TRUE(set) << set.error().line();
    EXPECT_TRUE(set->reps.empty());
    EXPECT_GT(set->recording.parts.set->length(), 115.0);
    EXPECT_EQ(set->recording.description.movement, expected);
  }
}

}  // namespace
}  // namespace strapline::recordings::synthetic
