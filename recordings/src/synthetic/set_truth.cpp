#include "strapline/recordings/synthetic/set_truth.hpp"

#include <algorithm>
#include <cmath>

#include "set_plan.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kGrid = 0.005;          // s
constexpr double kOnset = 0.05;          // share of the phase's peak rate (measures.md "tempo")
constexpr double kPrecision = 1e-6;      // s
constexpr double kBeyondProfile = 0.25;  // s, how far outside its profile a phase may end by sway

/// One phase: the sign of its rate, its fastest instant, and that rate.
struct Phase {
  double sign, peak_s, peak_rate;
};

Phase find_phase(const SquatMotion& motion, double from, double to, double sign) {
  Phase phase{sign, from, -1.0};
  for (double t = from; t <= to; t += kGrid) {
    const double rate = sign * motion.range_rate(t);
    if (rate > phase.peak_rate) phase = {sign, t, rate};
  }
  return phase;
}

/// The first instant, walking from the peak in steps of `step`, at which the rate is below the
/// onset share; then bisected. Stops at `limit` where sway keeps the rate above it.
double crossing(const SquatMotion& motion, const Phase& phase, double step, double limit) {
  const auto above = [&](double t) {
    return phase.sign * motion.range_rate(t) > kOnset * phase.peak_rate;
  };
  double inside = phase.peak_s;
  double outside = inside + step;
  while (above(outside)) {
    inside = outside;
    outside += step;
    if ((step > 0.0) == (outside > limit)) return limit;
  }
  while (std::abs(outside - inside) > kPrecision) {
    const double middle = 0.5 * (inside + outside);
    (above(middle) ? inside : outside) = middle;
  }
  return 0.5 * (inside + outside);
}

void find_phases(const SquatMotion& motion, const Excursion& e, RepTruth& rep) {
  const Phase down = find_phase(motion, e.start, e.bottom, 1.0);
  const Phase up = find_phase(motion, e.bottom, e.end(), -1.0);
  rep.start_s = crossing(motion, down, -kGrid, e.start - kBeyondProfile);
  rep.turn_in_s = crossing(motion, down, kGrid, up.peak_s);
  rep.turn_out_s = crossing(motion, up, -kGrid, down.peak_s);
  rep.end_s = crossing(motion, up, kGrid, e.end() + kBeyondProfile);
}

void raise(double& most, double value) { most = std::max(most, value); }

void raise_side(RepSide& side, bool right, const BoneMeasures& m) {
  const auto pick = [right](const Sides& sides) { return right ? sides.right : sides.left; };
  raise(side.thigh_depth, pick(m.thigh_depth));
  raise(side.knee_flexion, pick(m.knee_flexion));
  raise(side.knee_line_distance, pick(m.knee_line_distance));
  raise(side.knee_line_angle, pick(m.knee_line_angle));
  raise(side.knee_travel, pick(m.knee_travel));
}

RepSide side_at(bool right, const BoneMeasures& m) {
  const auto pick = [right](const Sides& sides) { return right ? sides.right : sides.left; };
  RepSide side;
  side.thigh_depth = pick(m.thigh_depth);
  side.knee_flexion = pick(m.knee_flexion);
  side.knee_line_distance = side.knee_line_distance_at_turn = pick(m.knee_line_distance);
  side.knee_line_angle = side.knee_line_angle_at_turn = pick(m.knee_line_angle);
  side.knee_travel = pick(m.knee_travel);
  return side;
}

/// The deepest instant between the two phases: the range angle's rate falls through zero there
/// (sway makes it do so in a long hold more than once, hence the grid).
double find_turn(const SquatMotion& motion, const RepTruth& rep) {
  constexpr int kSteps = 400;
  double turn = rep.turn_in_s;
  double deepest = -10.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = rep.turn_in_s + (rep.turn_out_s - rep.turn_in_s) * i / kSteps;
    const double angle = motion.measures(t).range_angle;
    if (angle > deepest) {
      deepest = angle;
      turn = t;
    }
  }
  return turn;
}

void measure_rep(const SquatMotion& motion, RepTruth& rep) {
  rep.turn_s = find_turn(motion, rep);
  const BoneMeasures at_turn = motion.measures(rep.turn_s);
  rep.left = side_at(false, at_turn);
  rep.right = side_at(true, at_turn);
  rep.trunk_lean = rep.trunk_lean_max = at_turn.trunk_lean;
  double top = at_turn.range_angle;
  const int steps = static_cast<int>(std::ceil((rep.end_s - rep.start_s) / kGrid));
  for (int i = 0; i <= steps; ++i) {
    const BoneMeasures m = motion.measures(rep.start_s + (rep.end_s - rep.start_s) * i / steps);
    raise_side(rep.left, false, m);
    raise_side(rep.right, true, m);
    raise(rep.trunk_lean_max, m.trunk_lean);
    top = std::min(top, m.range_angle);
  }
  rep.range = at_turn.range_angle - top;
}

void mark_part_reps(std::vector<RepTruth>& reps) {
  if (reps.empty()) return;
  std::vector<double> ranges;
  for (const RepTruth& rep : reps) ranges.push_back(rep.range);
  std::sort(ranges.begin(), ranges.end());
  const std::size_t n = ranges.size();
  const double median = 0.5 * (ranges[(n - 1) / 2] + ranges[n / 2]);
  for (RepTruth& rep : reps) rep.part = rep.range < 0.5 * median;
}

}  // namespace

std::vector<RepTruth> rep_truth(const SquatMotion& motion) {
  std::vector<RepTruth> reps;
  for (const Excursion& e : motion.plan().excursions) {
    if (e.align) continue;
    RepTruth rep;
    find_phases(motion, e, rep);
    measure_rep(motion, rep);
    if (!reps.empty()) reps.back().top_hold_s = rep.start_s - reps.back().end_s;
    reps.push_back(rep);
  }
  mark_part_reps(reps);
  return reps;
}

}  // namespace strapline::recordings::synthetic
