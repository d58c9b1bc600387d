#include "one_leg_plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "strapline/recordings/synthetic/random.hpp"

#include "one_leg_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kLimit = 2.5;          // sigma
constexpr double kLeadIn = 1.0;         // s, from the set part's border to the first rep
constexpr double kSettle = 1.0;         // s, from the last rep to the set part's end
constexpr double kBetweenBends = 0.25;  // s

enum Stream : std::uint64_t { kReps = 10, kBends = 13 };

dsp::Side other_than(dsp::Side side) {
  return side == dsp::Side::left ? dsp::Side::right : dsp::Side::left;
}

/// The leg from a hip to an ankle, `ahead` and `up` m from the ankle, the knee to the front.
LegAngles angles_between(const BodyLengths& body, double ahead, double up) {
  const double a = body.thigh;
  const double b = body.shank;
  const double apart = std::min(std::hypot(ahead, up), 0.9999 * (a + b));
  const double flexion = std::acos((apart * apart - a * a - b * b) / (2.0 * a * b));
  const double line = std::atan2(ahead, up);  // of ankle→hip, forwards
  const double at_hip = std::asin(b * std::sin(flexion) / apart);
  const double thigh = at_hip - line;
  return {thigh, flexion - thigh};
}

LegAngles plus(const LegAngles& a, const LegAngles& b) {
  return {a.thigh + b.thigh, a.shank + b.shank};
}
LegAngles minus(const LegAngles& a, const LegAngles& b) {
  return {a.thigh - b.thigh, a.shank - b.shank};
}

/// Where the hip middle is over the standing ankles once the working leg has these angles, m.
InPlane<double> hip_over_standing(const OneLegPlan& plan, const LegAngles& working) {
  const auto reach = ankle_to_hip<double>(plan.body, working.thigh, working.shank);
  return {plan.params.step + reach.ahead, reach.up};
}

/// The rear leg stands on its toes: the ankle is lifted and carried ahead.
LegAngles rear_leg(const OneLegPlan& plan, const LegAngles& working, double heel_up) {
  const InPlane<double> hip = hip_over_standing(plan, working);
  return angles_between(plan.body, hip.ahead - 0.6 * heel_up, hip.up - heel_up);
}

LegAngles working_stance(const OneLegPlan& plan) {
  const WorkingLeg& w = plan.params.working;
  return plus(plan.standing, {w.stance_thigh, w.stance_shank});
}

/// What the other leg has done on top of standing once the working one has these angles.
LegAngles other_at(const OneLegPlan& plan, const LegAngles& working, bool at_turn) {
  const OneLegSetParams& p = plan.params;
  if (p.movement == OneLegMovement::step_down) {
    const LegAngles free{p.free_thigh, p.free_knee - p.free_thigh};
    return at_turn ? free : LegAngles{0.5 * free.thigh, 0.5 * free.shank};
  }
  return minus(rear_leg(plan, working, at_turn ? 0.09 : 0.06), plan.standing);
}

void plan_bends(OneLegPlan& plan, double& t) {
  Random random(plan.params.seed, kBends);
  const PartsPlan& parts = plan.params.parts;
  for (int i = 0; i < parts.align_bends; ++i) {
    OneLegExcursion e;
    e.align = true;
    e.knee_within = parts.align_knee_within;
    const double pace = random.normal_within(1.0, 0.05, kLimit);
    lay_out(e, t, parts.align_phase * pace, 0.2, parts.align_phase * pace);
    e.travel = parts.align_travel * random.normal_within(1.0, 0.06, kLimit);
    e.working = {e.travel, 0.33 * e.travel};
    e.knee_line = {random.normal_within(parts.align_knee_line.left, parts.align_knee_sd, kLimit),
                   random.normal_within(parts.align_knee_line.right, parts.align_knee_sd, kLimit)};
    e.trunk_lean = 0.35 * e.travel;
    plan.excursions.push_back(e);
    t = e.end() + kBetweenBends;
  }
}

OneLegExcursion draw_rep(const OneLegPlan& plan, Random& random, int index) {
  const OneLegSetParams& p = plan.params;
  const RepVariation& v = p.variation;
  OneLegExcursion e;
  const bool turn_by_turn = p.movement == OneLegMovement::lunge;
  e.side = turn_by_turn && index % 2 == 1 ? other_than(p.side) : p.side;
  e.knee_within = p.working.knee_within;
  const bool part = std::find(p.part_reps.begin(), p.part_reps.end(), index) != p.part_reps.end();
  const double share = part ? p.part_share : 1.0;
  const LegAngles stance = working_stance(plan);
  const LegAngles turn{random.normal_within(p.depth, v.depth, kLimit) + deg(90.0),
                       p.working.shank_lean};
  const LegAngles full = minus(turn, stance);
  e.working = {share * full.thigh, share * full.shank};
  e.travel = e.working.thigh;
  const bool splits = p.movement == OneLegMovement::split_squat;
  const LegAngles before =
      splits || p.movement == OneLegMovement::step_down ? plan.other_stance : LegAngles{};
  const LegAngles other = minus(other_at(plan, turn, true), before);
  e.other = {share * other.thigh, share * other.shank};
  const double line = share * random.normal_within(p.working.knee_line, v.knee_line, kLimit);
  e.knee_line = {line, line};
  e.knee_dip = share * p.working.knee_dip;
  e.trunk_lean =
      share * (random.normal_within(p.trunk_lean, v.trunk_lean, kLimit) - p.posture.trunk_lean);
  e.heel_up = share * deg(turn_by_turn ? 35.0 : splits ? 10.0 : 0.0);
  e.step = turn_by_turn ? (part ? 0.6 : 1.0) * p.step : 0.0;
  e.lowering_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
  e.lifting_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
  return e;
}

void plan_reps(OneLegPlan& plan, double& t) {
  const OneLegSetParams& p = plan.params;
  Random random(p.seed, kReps);
  const auto pace = [&] { return random.normal_within(1.0, p.variation.tempo, kLimit); };
  double lowering = p.tempo.lowering * pace();
  for (int i = 0; i < p.reps; ++i) {
    OneLegExcursion e = draw_rep(plan, random, i);
    e.lifting_sticks = i + 1 == p.reps && p.grind > 1.0;
    lay_out(e, t, lowering, p.tempo.bottom_hold * pace(),
            p.tempo.lifting * pace() * (e.lifting_sticks ? p.grind : 1.0));
    plan.excursions.push_back(e);
    lowering = p.tempo.lowering * pace();
    const double top = p.tempo.top_hold * pace() + (p.pause_after == i ? p.pause : 0.0);
    t = start_after(e, top, lowering);
    // A foot that comes back has to arrive before the other may leave.
    if (p.movement == OneLegMovement::lunge) t = std::max(t, e.end());
  }
  if (p.reps > 0) t = std::max(t, plan.excursions.back().end());
}

struct Bound {
  std::string_view field;
  double value, least, most;
  std::string_view unit;
};

}  // namespace

OneLegPlan make_plan(const OneLegSetParams& params) {
  constexpr double kMargin = 0.1;  // s of a still part left out at either end
  OneLegPlan plan;
  plan.params = params;
  plan.body = lengths_of(params.body);
  plan.standing = {params.posture.thigh_lean, params.posture.shank_lean};
  if (params.movement != OneLegMovement::lunge) {
    plan.other_stance = other_at(plan, working_stance(plan), false);
  }
  plan.sway = draw_body_sway(params.seed, params.sway);
  plan.knees = draw_knee_wander(params.seed, params.knee_wander);
  double t = params.parts.still;
  plan.parts.still = dsp::Interval{kMargin, t - kMargin};
  const double align_from = t;
  plan_bends(plan, t);
  if (params.parts.align_bends > 0) plan.parts.align = dsp::Interval{align_from, t};
  const double ready = params.movement == OneLegMovement::lunge ? 0.0 : params.get_ready;
  plan.ready_from = t + params.parts.before_set;
  const double set_from = plan.ready_from + ready;
  t = set_from + kLeadIn;
  plan_reps(plan, t);
  t += kSettle;
  plan.parts.set = dsp::Interval{set_from, t};
  plan.leave_from = t;
  plan.before = {plan.ready_from - params.parts.before_set, plan.ready_from};
  plan.after = {t + ready, t + ready + params.parts.after_set};
  plan.end = plan.after.to_s;
  if (params.parts.still_after > 0.0) {
    plan.parts.still_after =
        dsp::Interval{plan.end + kMargin, plan.end + params.parts.still_after - kMargin};
    plan.end += params.parts.still_after;
  }
  return plan;
}

dsp::Result<void> check_params(const OneLegSetParams& p) {
  const double flexion = p.posture.shank_lean + p.posture.thigh_lean;
  const std::array<Bound, 16> bounds{{
      {"height", p.body.height, 1.0, 2.5, "m"},
      {"reps", static_cast<double>(p.reps), 0.0, 100.0, ""},
      {"depth", p.depth, deg(-70.0), deg(25.0), "rad"},
      {"lowering", p.tempo.lowering, 0.2, 30.0, "s"},
      {"bottom hold", p.tempo.bottom_hold, 0.0, 30.0, "s"},
      {"lifting", p.tempo.lifting, 0.2, 30.0, "s"},
      {"top hold", p.tempo.top_hold, 0.0, 60.0, "s"},
      {"part share", p.part_share, 0.2, 1.0, ""},
      {"grind", p.grind, 1.0, 6.0, ""},
      {"pause", p.pause, 0.0, 120.0, "s"},
      {"standing knee flexion", flexion, 0.0, deg(20.0), "rad"},
      {"step", p.step, 0.0, 1.2, "m"},
      {"box", p.box, 0.0, 0.6, "m"},
      {"still", p.parts.still, 1.0, 600.0, "s"},
      {"sway", p.sway, 0.0, 1.4, ""},
      {"knee wander", p.knee_wander, 0.0, 4.0, ""},
  }};
  for (const Bound& b : bounds) {
    if (b.value >= b.least && b.value <= b.most) continue;  // not a number fails, too
    return dsp::fail(fmt::format("{} is {:.6g} {}", b.field, b.value, b.unit), "synthetic set",
                     fmt::format("choose {:.6g} to {:.6g} {}", b.least, b.most, b.unit));
  }
  if (p.side == dsp::Side::middle) {
    return dsp::fail("no side works", "synthetic set", "choose left or right");
  }
  return {};
}

}  // namespace strapline::recordings::synthetic
