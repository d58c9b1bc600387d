#include "arm_plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "strapline/recordings/synthetic/random.hpp"

#include "arm_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kLimit = 2.5;    // sigma
constexpr double kLeadIn = 1.0;   // s, from the set part's border to the first rep
constexpr double kSettle = 1.0;   // s, from the last rep to the set part's end
constexpr double kBetween = 0.4;  // s, between alignment movements

enum Stream : std::uint64_t { kReps = 10, kSway = 11, kAlign = 13 };

Excursion align_movement(Random& random, double& t, double travel, double phase, double hold) {
  Excursion e;
  e.align = true;
  const double pace = random.normal_within(1.0, 0.05, kLimit);
  lay_out(e, t, phase * pace, hold, phase * pace);
  e.travel = travel * random.normal_within(1.0, 0.06, kLimit);
  t = e.end() + kBetween;
  return e;
}

void plan_alignment(ArmPlan& plan, double& t) {
  Random random(plan.params.seed, kAlign);
  const ArmParts& parts = plan.params.parts;
  for (int i = 0; i < parts.bends; ++i) {
    plan.bends.push_back(align_movement(random, t, parts.bend_travel, parts.bend_phase, 0.2));
  }
  plan.raises.push_back(align_movement(random, t, parts.raise_travel, parts.raise_phase, 0.3));
  plan.bows.push_back(align_movement(random, t, parts.bow_travel, parts.bow_phase, 0.3));
}

ArmExcursion draw_rep(const ArmSetParams& p, Random& random, double late) {
  const ArmVariation& v = p.variation;
  ArmExcursion e;
  const double tired = late * p.fatigue_flexion;  // less travel, whichever way it goes
  const double turn = random.normal_within(p.turn_flexion, v.flexion, kLimit);
  e.travel = turn - p.start_flexion + (turn < p.start_flexion ? tired : -tired);
  e.difference = p.flexion_difference;
  e.elbow_turn.left = random.normal_within(p.elbow_turn_more, v.elbow_turn, kLimit);
  e.elbow_turn.right = random.normal_within(p.elbow_turn_more, v.elbow_turn, kLimit);
  e.body_line = random.normal_within(p.body_line_more, v.body_line, kLimit);
  e.lowering_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
  e.lifting_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
  return e;
}

/// The four phases in the order in which the movement goes through them.
std::array<double, 4> phases_of(const ArmPlan& plan) {
  const Tempo& tempo = plan.params.tempo;
  if (plan.setting.lowers_first) {
    return {tempo.lowering, tempo.bottom_hold, tempo.lifting, tempo.top_hold};
  }
  return {tempo.lifting, tempo.top_hold, tempo.lowering, tempo.bottom_hold};
}

/// How much longer the last rep's phases take: the one that lifts.
double first_grind(const ArmPlan& plan, int rep) {
  return rep + 1 == plan.params.reps && !plan.setting.lowers_first ? plan.params.grind : 1.0;
}
double second_grind(const ArmPlan& plan, int rep) {
  return rep + 1 == plan.params.reps && plan.setting.lowers_first ? plan.params.grind : 1.0;
}

void plan_reps(ArmPlan& plan, double& t) {
  const ArmSetParams& p = plan.params;
  Random random(p.seed, kReps);
  const auto [there, turn, back, start] = phases_of(plan);
  const auto pace = [&] { return random.normal_within(1.0, p.variation.tempo, kLimit); };
  const auto first_phase = [&](int rep) { return there * pace() * first_grind(plan, rep); };
  double first = first_phase(0);
  for (int i = 0; i < p.reps; ++i) {
    const double late = p.reps > 1 ? static_cast<double>(i) / (p.reps - 1) : 0.0;
    ArmExcursion e = draw_rep(p, random, late);
    if (std::find(p.part_reps.begin(), p.part_reps.end(), i) != p.part_reps.end()) {
      e.travel *= p.part_share;
    }
    e.lowering_sticks = first_grind(plan, i) > 1.0;
    e.lifting_sticks = second_grind(plan, i) > 1.0;
    lay_out(e, t, first, turn * pace(), back * pace() * second_grind(plan, i));
    plan.reps.push_back(e);
    first = first_phase(i + 1);
    const double hold = start * pace() + (p.pause_after == i ? p.pause : 0.0);
    t = start_after(e, hold, first);
  }
  if (!plan.reps.empty()) t = std::max(t, plan.reps.back().end());
}

ArmSway draw_arm_sway(const ArmSetParams& params) {
  Random random(params.seed, kSway);
  const double k = params.sway;
  ArmSway sway;
  sway.turn = draw_sway(random, k * deg(0.3));
  sway.side_lean = draw_sway(random, k * deg(0.2));
  sway.lean = draw_sway(random, k * deg(0.4));
  sway.flexion = draw_sway(random, k * deg(0.15));
  return sway;
}

/// The body triangle in the start position says how far behind the hands the toes are.
double toes_behind(const ArmPlan& plan) {
  const ArmSetParams& p = plan.params;
  const double legs = leg_length(plan.body);
  const double trunk = plan.body.trunk;
  const double reach2 = legs * legs + trunk * trunk + 2.0 * legs * trunk * std::cos(p.body_line);
  const double beside = hands_beside_shoulders(plan);
  const double height2 = hand_to_shoulder_squared(plan.body, p.start_flexion) - beside * beside -
                         p.shoulders_ahead * p.shoulders_ahead;
  return std::sqrt(reach2 - height2) - p.shoulders_ahead;
}

Change change_between(const Eigen::Matrix3d& standing, const Eigen::Matrix3d& start) {
  return {Eigen::AngleAxisd(Eigen::Matrix3d(standing.transpose() * start)), start.transpose()};
}

void plan_changes(ArmPlan& plan) {
  // Without sway: how it happens to lean at that time is no part of how the body stands.
  ArmPlan steady = plan;
  steady.sway = {};
  const ArmDrives<double> drives =
      arm_drives_at(steady, plan.ready_from + plan.params.parts.get_ready);
  const TrunkPose<double> trunk = set_trunk(plan, drives);
  plan.trunk = change_between(standing_trunk<double>(plan, 0.0), trunk.world_from_trunk);
  plan.thigh = change_between(upright_frame<double>(0.0, 0.0, plan.params.standing.thigh_lean),
                              thigh_in_set<double>(drives, trunk.world_from_trunk));
  for (const bool right : {false, true}) {
    (right ? plan.upper_arm.right : plan.upper_arm.left) = change_between(
        standing_upper_arm<double>(plan, 0.0, right), set_upper_arm(plan, drives, trunk, right));
  }
}

struct Bound {
  std::string_view field;
  double value, least, most;
  std::string_view unit;
};

}  // namespace

ArmSetting setting_of(ArmMovement movement) {
  constexpr double kBar = 2.35, kFloor = 0.05, kDipBars = 1.2, kBench = 0.5, kSeated = 1.1;  // m
  constexpr double kStanding = 1.4, kBent = 1.0;                                             // m
  switch (movement) {
    case ArmMovement::push_up:
      return {true, true, false, false, ElbowsTowards::feet, kFloor};
    case ArmMovement::pull_up:
      break;
    case ArmMovement::bench_press:
      return {true, false, true, false, ElbowsTowards::feet, kBench};
    case ArmMovement::overhead_press:
      return {false, false, true, true, ElbowsTowards::forwards, kStanding};
    case ArmMovement::dip:
      return {true, true, false, false, ElbowsTowards::backwards, kDipBars};
    case ArmMovement::pull_down:
      return {false, false, true, false, ElbowsTowards::forwards, kSeated};
    case ArmMovement::row:
      return {false, false, false, false, ElbowsTowards::feet, kBent};
  }
  return {false, true, true, false, ElbowsTowards::forwards, kBar};
}

ArmPlan make_plan(const ArmSetParams& params) {
  constexpr double kMargin = 0.1;  // s of a still part left out at either end
  ArmPlan plan;
  plan.params = params;
  plan.setting = setting_of(params.movement);
  plan.body = lengths_of(params.body);
  plan.sway = draw_arm_sway(params);
  plan.toes_behind = toes_behind(plan);
  double t = params.parts.still;
  plan.parts.still = dsp::Interval{kMargin, t - kMargin};
  const double align_from = t;
  plan_alignment(plan, t);
  plan.parts.align = dsp::Interval{align_from, t};
  plan.ready_from = t + params.parts.before_ready;
  const double set_from = plan.ready_from + params.parts.get_ready;
  t = set_from + kLeadIn;
  plan_reps(plan, t);
  t += kSettle;
  plan.parts.set = dsp::Interval{set_from, t};
  plan.leave_from = t;
  plan.before = {plan.ready_from - params.parts.before_ready, plan.ready_from};
  plan.after = {t + params.parts.get_ready, t + params.parts.get_ready + params.parts.after_set};
  plan.end = plan.after.to_s;
  if (params.parts.still_after > 0.0) {
    plan.parts.still_after =
        dsp::Interval{plan.end + kMargin, plan.end + params.parts.still_after - kMargin};
    plan.end += params.parts.still_after;
  }
  plan_changes(plan);
  return plan;
}

dsp::Result<void> check_params(const ArmSetParams& p) {
  const double height = p.body.height;
  const bool extends = setting_of(p.movement).extends;
  const std::array<Bound, 17> bounds{{
      {"height", height, 1.0, 2.5, "m"},
      {"reps", static_cast<double>(p.reps), 0.0, 100.0, ""},
      {"lowering", p.tempo.lowering, 0.2, 30.0, "s"},
      {"bottom hold", p.tempo.bottom_hold, 0.0, 30.0, "s"},
      {"lifting", p.tempo.lifting, 0.2, 30.0, "s"},
      {"top hold", p.tempo.top_hold, 0.0, 60.0, "s"},
      {"still", p.parts.still, 1.0, 600.0, "s"},
      {"getting ready", p.parts.get_ready, 1.0, 60.0, "s"},
      {"elbow flexion in the start position", p.start_flexion, extends ? deg(90.0) : deg(5.0),
       extends ? deg(145.0) : deg(60.0), "rad"},
      {"elbow flexion at the turn", p.turn_flexion, extends ? deg(8.0) : deg(60.0),
       extends ? deg(70.0) : deg(140.0), "rad"},
      {"hand width", p.hand_width, 0.6, 2.0, ""},
      {"shoulders ahead", p.shoulders_ahead, -0.2, 0.2, "m"},
      {"body line", p.body_line, deg(-40.0), deg(110.0), "rad"},
      {"part share", p.part_share, 0.2, 1.0, ""},
      {"grind", p.grind, 1.0, 6.0, ""},
      {"pause", p.pause, 0.0, 120.0, "s"},
      {"sway", p.sway, 0.0, 1.4, ""},
  }};
  for (const Bound& b : bounds) {
    if (b.value >= b.least && b.value <= b.most) continue;  // not a number fails, too
    return dsp::fail(fmt::format("{} is {:.6g} {}", b.field, b.value, b.unit), "synthetic set",
                     fmt::format("choose {:.6g} to {:.6g} {}", b.least, b.most, b.unit));
  }
  return {};
}

}  // namespace strapline::recordings::synthetic
