#include "set_plan.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/recordings/synthetic/random.hpp"

#include "leg_chain.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kLimit = 2.5;          // sigma
constexpr double kLeadIn = 1.0;         // s, from the set part's border to the first rep
constexpr double kSettle = 1.0;         // s, from the last rep to the set part's end
constexpr double kBetweenBends = 0.25;  // s

/// Streams of the set's seed.
enum Stream : std::uint64_t { kReps = 10, kFidgets = 12, kBends = 13 };

double mean_depth_at(const SetPlan& plan, double t) {
  const Drives<double> drives = drives_at(plan, t);
  const auto hips = hip_centres(plan, drives);
  const auto left = leg_between(plan, drives, false, hips.left);
  const auto right = leg_between(plan, drives, true, hips.right);
  return 0.5 * (thigh_depth(plan.body, left) + thigh_depth(plan.body, right));
}

/// Thigh travel that brings the mean thigh depth to the asked one at the rep's bottom: secant
/// steps; depth grows with travel nearly one to one, so a few suffice.
void solve_travel(SetPlan& plan, SquatExcursion& e) {
  double travel = e.travel;
  double error = depth_error(plan, e);
  if (!std::isfinite(error)) return;  // out of reach: check_reach says so
  e.travel = travel - error;
  for (int i = 0; i < 12 && std::abs(error) > 1e-10; ++i) {
    const double next = depth_error(plan, e);
    const double slope = (next - error) / (e.travel - travel);
    if (!std::isfinite(slope) || std::abs(slope) < 0.1) return;
    travel = e.travel;
    error = next;
    e.travel = travel - error / slope;
  }
}

void plan_bends(SetPlan& plan, double& t) {
  Random random(plan.params.seed, kBends);
  const PartsPlan& parts = plan.params.parts;
  for (int i = 0; i < parts.align_bends; ++i) {
    SquatExcursion e;
    e.align = true;
    e.knee_within = parts.align_knee_within;
    const double pace = random.normal_within(1.0, 0.05, kLimit);
    lay_out(e, t, parts.align_phase * pace, 0.2, parts.align_phase * pace);
    e.travel = parts.align_travel * random.normal_within(1.0, 0.06, kLimit);
    e.knee_line.left =
        random.normal_within(parts.align_knee_line.left, parts.align_knee_sd, kLimit);
    e.knee_line.right =
        random.normal_within(parts.align_knee_line.right, parts.align_knee_sd, kLimit);
    e.trunk_lean = 0.35 * e.travel;
    plan.excursions.push_back(e);
    t = e.end() + kBetweenBends;
  }
}

/// Draws what one rep aims at; `late` runs from 0 (first rep) to 1 (last).
void draw_rep(const SquatSetParams& p, Random& random, int index, double late, SquatExcursion& e) {
  const RepVariation& v = p.variation;
  e.knee_within = p.knee_within;
  e.shank_per_travel = p.shank_lean_per_travel;
  e.depth = random.normal_within(p.depth, v.depth, kLimit) - late * p.fatigue.depth_lost;
  const double standing = p.posture.thigh_lean - deg(90.0);
  const bool part = std::find(p.part_reps.begin(), p.part_reps.end(), index) != p.part_reps.end();
  e.share = part ? p.part_share : 1.0;
  e.travel = e.depth - standing;
  const double share = e.share;
  const double inwards = late * p.fatigue.knee_inwards;
  e.knee_line.left =
      share * (random.normal_within(p.knee_line.left, v.knee_line, kLimit) + inwards);
  e.knee_line.right =
      share * (random.normal_within(p.knee_line.right, v.knee_line, kLimit) + inwards);
  e.knee_dip = share * p.knee_dip;
  e.trunk_lean =
      share * (random.normal_within(p.trunk_lean, v.trunk_lean, kLimit) - p.posture.trunk_lean);
  e.trunk_lean_extra = share * p.trunk_lean_extra;
  e.lowering_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
  e.lifting_skew = std::clamp(random.normal_within(0.0, v.shape, kLimit), -0.13, 0.13);
}

void plan_reps(SetPlan& plan, double& t) {
  const SquatSetParams& p = plan.params;
  Random random(p.seed, kReps);
  const auto pace = [&] { return random.normal_within(1.0, p.variation.tempo, kLimit); };
  double lowering = p.tempo.lowering * pace();
  for (int i = 0; i < p.reps; ++i) {
    SquatExcursion e;
    const double late = p.reps > 1 ? static_cast<double>(i) / (p.reps - 1) : 0.0;
    draw_rep(p, random, i, late, e);
    e.lifting_sticks = i + 1 == p.reps && p.grind > 1.0;
    const double lifting = p.tempo.lifting * pace() * (1.0 + late * p.fatigue.lifting_slower) *
                           (e.lifting_sticks ? p.grind : 1.0);
    lay_out(e, t, lowering, p.tempo.bottom_hold * pace(), lifting);
    plan.excursions.push_back(e);
    lowering = p.tempo.lowering * pace();
    double top = p.tempo.top_hold * pace();
    if (p.pause_after == i) top += p.pause;
    t = start_after(e, top, lowering);
  }
  t = plan.excursions.empty() ? t : std::max(t, plan.excursions.back().end());
}

void plan_fidgets(SetPlan& plan, Random& random, double from, double to, int count) {
  for (int i = 0; i < count; ++i) {
    Fidget f;
    f.duration = random.uniform(0.7, 1.3);
    if (to - from < f.duration) return;
    f.start = random.uniform(from, to - f.duration);
    f.shift = random.normal_within(0.0, cm(1.2), 2.0);
    f.turn = random.normal_within(0.0, deg(2.0), 2.0);
    plan.fidgets.push_back(f);
  }
}

}  // namespace

double depth_error(const SetPlan& plan, const SquatExcursion& e) {
  return mean_depth_at(plan, e.bottom) - e.depth;
}

Sway draw_body_sway(std::uint64_t seed, double factor) {
  constexpr std::uint64_t kSway = 11;
  Random random(seed, kSway);
  const double k = factor;
  Sway sway;
  sway.forwards = draw_sway(random, k * 0.003);
  sway.sideways = draw_sway(random, k * 0.0025);
  sway.turn = draw_sway(random, k * deg(0.25));
  sway.flexion = draw_sway(random, k * deg(0.12));
  sway.lean = draw_sway(random, k * deg(0.4));
  sway.side_lean = draw_sway(random, k * deg(0.2));
  sway.knees.left = draw_sway(random, k * 0.00125);
  sway.knees.right = draw_sway(random, k * 0.00125);
  return sway;
}

SetPlan make_plan(const SquatSetParams& params) {
  SetPlan plan;
  plan.params = params;
  plan.body = lengths_of(params.body);
  plan.sway = draw_body_sway(params.seed, params.sway);
  plan.knees = draw_knee_wander(params.seed, params.knee_wander);
  Random random(params.seed, kFidgets);
  constexpr double kMargin = 0.1;  // s of the still part left out at either end
  double t = params.parts.still;
  plan.parts.still = dsp::Interval{kMargin, t - kMargin};
  if (params.parts.align_bends > 0) {
    const double from = t;
    plan_bends(plan, t);
    plan.parts.align = dsp::Interval{from, t};
  }
  plan_fidgets(plan, random, t, t + params.parts.before_set, params.fidgets);
  const double set_from = t + params.parts.before_set;
  const double step = params.restance.step;
  plan.steps_from = {set_from - 2.2 * step, set_from - 1.1 * step};  // one foot, then the other
  t = set_from + kLeadIn;
  plan_reps(plan, t);
  if (params.pause_after && *params.pause_after + 1 < params.reps) {
    const auto& e =
        plan.excursions[static_cast<std::size_t>(params.parts.align_bends + *params.pause_after)];
    plan_fidgets(plan, random, e.end(), e.end() + params.pause, 1);
  }
  plan.parts.set = dsp::Interval{set_from, t + kSettle};
  plan.before = {set_from - params.parts.before_set, set_from};
  plan.after = {t + kSettle, t + kSettle + params.parts.after_set};
  plan.end = plan.after.to_s;
  if (params.parts.still_after > 0.0) {
    plan.parts.still_after =
        dsp::Interval{plan.end + kMargin, plan.end + params.parts.still_after - kMargin};
    plan.end += params.parts.still_after;
  }
  for (SquatExcursion& e : plan.excursions) {
    if (!e.align) solve_travel(plan, e);
    if (e.share == 1.0) continue;
    e.travel *= e.share;
    e.depth = mean_depth_at(plan, e.bottom);
  }
  return plan;
}

}  // namespace strapline::recordings::synthetic
