// The stated truth against a brute-force reading of the movement, and against what was asked for.
#include <algorithm>
#include <array>
#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

/// The range angle sampled every 0.5 ms and differenced: no use of exact rates.
struct Brute {
  double from = 0.0;
  std::vector<double> angle;
  static constexpr double kStep = 5e-4;

  Brute(const SquatMotion& motion, double begin, double end) : from(begin) {
    for (double t = begin; t <= end; t += kStep) angle.push_back(motion.measures(t).range_angle);
  }
  [[nodiscard]] double time(std::size_t i) const {
    return from + kStep * (static_cast<double>(i) + 0.5);
  }
  [[nodiscard]] double rate(std::size_t i) const { return (angle[i + 1] - angle[i]) / kStep; }
};

/// Border times of the only rep in the window, by the words of the definition.
std::array<double, 4> brute_borders(const Brute& b) {
  std::size_t down = 0;
  std::size_t up = 0;
  for (std::size_t i = 0; i + 1 < b.angle.size(); ++i) {
    if (b.rate(i) > b.rate(down)) down = i;
    if (b.rate(i) < b.rate(up)) up = i;
  }
  const auto walk = [&](std::size_t peak, std::ptrdiff_t step) {
    std::size_t i = peak;
    const double limit = 0.05 * b.rate(peak);
    while (b.rate(i) / limit > 1.0) i += static_cast<std::size_t>(step);
    return b.time(i);
  };
  return {walk(down, -1), walk(down, 1), walk(up, -1), walk(up, 1)};
}

TEST(SyntheticTruth, BordersAndRangeAgreeWithBruteForce) {
  for (const std::uint64_t seed : {3U, 17U, 40U}) {
    SquatSetParams params = random_squat_params(seed);
    params.reps = 3;
    params.pause_after.reset();
    const SquatMotion motion(params);
    for (const RepTruth& rep : rep_truth(motion)) {
      const Brute brute(motion, rep.start_s - 0.15, rep.end_s + 0.15);
      const auto borders = brute_borders(brute);
      EXPECT_NEAR(rep.start_s, borders[0], 2e-3);
      EXPECT_NEAR(rep.turn_in_s, borders[1], 2e-3);
      EXPECT_NEAR(rep.turn_out_s, borders[2], 2e-3);
      EXPECT_NEAR(rep.end_s, borders[3], 2e-3);
      double most = -10.0;
      double least = 10.0;
      double flexion = -10.0;
      double inwards = -10.0;
      for (double t = rep.start_s; t <= rep.end_s; t += 5e-4) {
        const BoneMeasures m = motion.measures(t);
        most = std::max(most, m.range_angle);
        least = std::min(least, m.range_angle);
        flexion = std::max(flexion, m.knee_flexion.left);
        inwards = std::max(inwards, m.knee_line_distance.right);
      }
      EXPECT_NEAR(rep.range, most - least, deg(0.01));
      EXPECT_NEAR(rep.value("knee_flexion_left"), flexion, deg(0.01));
      EXPECT_NEAR(rep.value("knee_line_distance_right"), inwards, 1e-4);
    }
  }
}

TEST(SyntheticTruth, RepsAreAsAsked) {
  SquatSetParams params = exact_params();
  params.depth = deg(8.0);
  params.knee_line = {cm(2.5), cm(-1.5)};
  params.knee_dip = 0.0;
  params.trunk_lean = deg(42.0);
  params.tempo = {2.5, 1.0, 1.5, 1.2};
  const auto reps = rep_truth(SquatMotion(params));
  ASSERT_EQ(reps.size(), 3U);
  for (const RepTruth& rep : reps) {
    EXPECT_NEAR(0.5 * (rep.value("thigh_depth_left") + rep.value("thigh_depth_right")),
                params.depth, deg(0.01));
    EXPECT_NEAR(rep.value("knee_line_distance_at_turn_left"), cm(2.5), 1e-5);
    EXPECT_NEAR(rep.value("knee_line_distance_at_turn_right"), cm(-1.5), 1e-5);
    EXPECT_NEAR(rep.value("trunk_lean"), params.trunk_lean, deg(0.05));
    EXPECT_GT(rep.value("trunk_lean_max"), rep.value("trunk_lean"));
    // The range angle is not linear in the profile, so the asked tempo is met closely, not exactly.
    EXPECT_NEAR(rep.turn_in_s - rep.start_s, 2.5, 0.1);
    EXPECT_NEAR(rep.turn_out_s - rep.turn_in_s, 1.0, 0.1);
    EXPECT_NEAR(rep.end_s - rep.turn_out_s, 1.5, 0.1);
    EXPECT_LT(rep.start_s, rep.turn_in_s);
    EXPECT_GE(rep.turn_s, rep.turn_in_s);
    EXPECT_LE(rep.turn_s, rep.turn_out_s);
  }
  ASSERT_TRUE(reps.front().start_hold_s);
  // Near standing the thigh is tilted sideways (stance wider than the hips), so its elevation
  // hardly changes at first: phases begin late and end early.
  EXPECT_GT(*reps.front().start_hold_s, 1.2);
  EXPECT_LT(*reps.front().start_hold_s, 1.4);
  EXPECT_FALSE(reps.back().start_hold_s);
}

TEST(SyntheticTruth, MostInwardIsReadAfterTheTurnWhereTheKneeDips) {
  SquatSetParams params = exact_params();
  params.stance.ankle_spacing = 0.18;  // as wide as the hips: standing does not compete
  params.knee_line = {cm(1.0), cm(1.0)};
  params.knee_dip = cm(3.0);
  for (const RepTruth& rep : rep_truth(SquatMotion(params))) {
    EXPECT_NEAR(rep.value("knee_line_distance_at_turn_left"), cm(1.0), cm(0.2));
    EXPECT_GT(rep.value("knee_line_distance_left"), cm(2.5));
  }
}

TEST(SyntheticTruth, FatigueShowsInTheLastRep) {
  SquatSetParams params = exact_params();
  params.fatigue = {deg(10.0), 0.5, cm(2.0)};
  const auto reps = rep_truth(SquatMotion(params));
  const RepTruth& first = reps.front();
  const RepTruth& last = reps.back();
  EXPECT_NEAR(first.range - last.range, deg(10.0), deg(0.1));
  EXPECT_NEAR((last.end_s - last.turn_out_s) / (first.end_s - first.turn_out_s), 1.5, 0.05);
  EXPECT_NEAR(last.value("knee_line_distance_at_turn_left") -
                  first.value("knee_line_distance_at_turn_left"),
              cm(2.0), cm(0.1));
}

TEST(SyntheticTruth, PartRepsAreMarkedAndPausesLengthenTheTopHold) {
  SquatSetParams params = exact_params();
  params.reps = 6;
  params.part_reps = {1, 4};
  params.pause_after = 2;
  params.pause = 5.0;
  const auto reps = rep_truth(SquatMotion(params));
  ASSERT_EQ(reps.size(), 6U);
  for (std::size_t i = 0; i < reps.size(); ++i) EXPECT_EQ(reps[i].part, i == 1 || i == 4);
  EXPECT_NEAR(*reps[2].start_hold_s, 6.1, 0.1);
}

// A quick squat without a stop at the bottom must not read as a long hold.
TEST(SyntheticTruth, BounceHasAShortHoldAndTheAskedDepth) {
  SquatSetParams params = exact_params();
  params.tempo = {1.2, 0.0, 0.8, 0.5};
  for (const RepTruth& rep : rep_truth(SquatMotion(params))) {
    EXPECT_LT(rep.turn_out_s - rep.turn_in_s, 0.15);
    EXPECT_NEAR(0.5 * (rep.value("thigh_depth_left") + rep.value("thigh_depth_right")),
                params.depth, deg(0.02));
  }
}

TEST(SyntheticTruth, RandomSetsHaveTheirRepsInOrder) {
  RandomRanges ranges;
  ranges.part_rep_chance = 0.3;
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    const SquatSetParams params = random_squat_params(seed, ranges);
    const auto motion = make_motion(params);
    ASSERT_TRUE(motion) << seed << ": " << motion.error().line();
    const auto reps = rep_truth(*motion);
    ASSERT_EQ(reps.size(), static_cast<std::size_t>(params.reps));
    double before = motion->parts().set->from_s;
    std::size_t part = 0;
    for (const RepTruth& rep : reps) {
      EXPECT_LT(before, rep.start_s) << seed;
      EXPECT_LT(rep.start_s, rep.turn_in_s) << seed;
      EXPECT_LT(rep.turn_in_s, rep.turn_out_s) << seed;
      EXPECT_LT(rep.turn_out_s, rep.end_s) << seed;
      before = rep.end_s;
      part += rep.part ? 1 : 0;
    }
    EXPECT_LT(before, motion->parts().set->to_s);
    EXPECT_EQ(part, params.part_reps.size()) << seed;
  }
}

TEST(SyntheticTruth, JsonCarriesTheSameNumbersInReadersUnits) {
  const auto set = synthesize_set(exact_params(), {}, {.traces_hz = 50.0, .orientations = true});
  ASSERT_TRUE(set);
  const auto json = nlohmann::json::parse(set->recording.truth_json);
  ASSERT_EQ(json["reps"].size(), 3U);
  const RepTruth& rep = set->reps[0];
  const auto& first = json["reps"][0];
  EXPECT_DOUBLE_EQ(first["start_s"], rep.start_s);
  const auto expect = [&](const char* name, double value, const char* unit) {
    EXPECT_NEAR(first["measures"][name]["value"].get<double>(), value, 1e-9) << name;
    EXPECT_EQ(first["measures"][name]["unit"], unit) << name;
  };
  expect("thigh_depth_left", rep.value("thigh_depth_left") / deg(1.0), "deg");
  expect("knee_flexion_right", rep.value("knee_flexion_right") / deg(1.0), "deg");
  expect("knee_line_distance_left", rep.value("knee_line_distance_left") * 100.0, "cm");
  expect("knee_line_distance_at_turn_left", rep.value("knee_line_distance_at_turn_left") * 100.0,
         "cm");
  expect("knee_line_angle_left", rep.value("knee_line_angle_left") / deg(1.0), "deg");
  expect("knee_travel_left", rep.value("knee_travel_left") * 100.0, "cm");
  expect("trunk_lean", rep.value("trunk_lean") / deg(1.0), "deg");
  expect("trunk_lean_max", rep.value("trunk_lean_max") / deg(1.0), "deg");
  expect("range", rep.range / deg(1.0), "deg");
  expect("lowering_s", rep.turn_in_s - rep.start_s, "s");
  expect("bottom_hold_s", rep.turn_out_s - rep.turn_in_s, "s");
  expect("lifting_s", rep.end_s - rep.turn_out_s, "s");
  expect("top_hold_s", *rep.start_hold_s, "s");
  EXPECT_TRUE(json["reps"][2]["measures"]["top_hold_s"].contains("not_measured"));
  EXPECT_TRUE(first["measures"]["knee_line_angle_at_turn_left"].contains("not_measured"));
  const auto& traces = json["traces"];
  EXPECT_EQ(traces["t_s"].size(), traces["thigh_depth_left"].size());
  const auto& strap = json["straps"][2];
  EXPECT_EQ(strap["placement"], "left_thigh");
  EXPECT_EQ(strap["q_world_from_sensor"].size(),
            static_cast<std::size_t>(set->recording.straps[2].t.size()));
}

}  // namespace
}  // namespace strapline::recordings::synthetic
