#include "strapline/recordings/synthetic/squat_params.hpp"

#include <algorithm>
#include <cmath>

#include "draw.hpp"

namespace strapline::recordings::synthetic {
namespace {

double draw(Random& random, Range range) { return random.uniform(range.from, range.to); }

void draw_body(Random& random, const RandomRanges& ranges, SquatSetParams& params) {
  params.body.height = draw(random, ranges.height);
  const BodyLengths usual = lengths_of(params.body);
  params.body.thigh = usual.thigh * draw(random, 1.0, ranges.length_sd);
  params.body.shank = usual.shank * draw(random, 1.0, ranges.length_sd);
  params.body.foot = usual.foot * draw(random, 1.0, ranges.length_sd);
  params.body.ankle_from_heel = draw(random, 0.25, ranges.ankle_from_heel_sd);
  params.stance.ankle_spacing = params.body.height * draw(random, ranges.ankle_spacing);
  const double toe_out = draw(random, ranges.toe_out);
  params.stance.toe_out = draw_sides(random, toe_out, ranges.toe_out_side_sd);
}

void draw_set(Random& random, const RandomRanges& ranges, SquatSetParams& params) {
  params.reps =
      random.integer(static_cast<int>(ranges.reps.from), static_cast<int>(ranges.reps.to));
  params.depth = draw(random, ranges.depth);
  params.tempo.lowering = draw(random, ranges.lowering);
  params.tempo.bottom_hold = draw(random, ranges.bottom_hold);
  params.tempo.lifting = draw(random, ranges.lifting);
  params.tempo.top_hold = draw(random, ranges.top_hold);
  const double knee_line = draw(random, ranges.knee_line);
  params.knee_line = draw_sides(random, knee_line, ranges.knee_line_side_sd);
  params.knee_dip = draw(random, ranges.knee_dip);
  params.trunk_lean = draw(random, ranges.trunk_lean);
  params.parts.align_knee_line = draw_sides(random, 0.0, ranges.align_knee_sd);
  params.knee_twist = draw(random, 0.0, ranges.knee_twist_sd);
  if (random.uniform() < ranges.part_rep_chance && params.reps > 2) {
    params.part_reps = {random.integer(1, params.reps - 1)};
  }
  if (random.uniform() < ranges.pause_chance && params.reps > 3) {
    params.pause_after = random.integer(1, params.reps - 2);
  }
}

void draw_asymmetry(Random& random, const RandomRanges& ranges, Asymmetry& asymmetry) {
  asymmetry.flexion = draw(random, 0.0, ranges.asymmetry_flexion_sd);
  asymmetry.pelvis_shift = draw(random, 0.0, ranges.asymmetry_shift_sd);
  asymmetry.pelvis_turn = draw(random, 0.0, ranges.asymmetry_turn_sd);
  asymmetry.side_lean = draw(random, 0.0, ranges.side_lean_sd);
}

}  // namespace

Restance random_restance(std::uint64_t seed) {
  constexpr std::uint64_t kStream = 14;
  Random random(seed, kStream);
  Restance anew;
  anew.toe_out = draw_sides(random, draw(random, 0.0, deg(6.0)), deg(3.0));
  anew.ankle_spacing = draw(random, 0.0, cm(2.0));
  return anew;
}

std::string movement_name(SquatMovement movement) {
  switch (movement) {
    case SquatMovement::front_squat:
      return "front_squat";
    case SquatMovement::hip_hinge:
      return "hip_hinge";
    case SquatMovement::squat:
      break;
  }
  return "squat";
}

RandomRanges ranges_of(SquatMovement movement) {
  RandomRanges ranges;
  if (movement == SquatMovement::front_squat) ranges.trunk_lean = {deg(5.0), deg(25.0)};
  if (movement != SquatMovement::hip_hinge) return ranges;
  // The hips go back: little at the thighs, nearly all in the trunk.
  ranges.depth = {deg(-74.0), deg(-58.0)};
  ranges.trunk_lean = {deg(50.0), deg(80.0)};
  ranges.knee_line = {cm(-1.0), cm(1.0)};
  ranges.knee_line_side_sd = cm(0.4);
  ranges.knee_dip = {0.0, cm(0.2)};
  ranges.knee_twist_sd = 0.0;
  return ranges;
}

SquatSetParams usual_squat_params(SquatMovement movement) {
  SquatSetParams params;
  params.movement = movement;
  if (movement == SquatMovement::front_squat) params.trunk_lean = deg(15.0);
  if (movement == SquatMovement::front_squat) params.arms = Arms::holding_front;
  if (movement == SquatMovement::hip_hinge) {
    params.depth = deg(-66.0);
    params.trunk_lean = deg(65.0);
    params.shank_lean_per_travel = 0.0;
    params.knee_dip = 0.0;
    params.trunk_lean_extra = 0.0;
    params.variation.depth = deg(1.0);
    params.fatigue.depth_lost = 0.0;
    params.fatigue.knee_inwards = 0.0;
    params.pelvis_share = 0.85;
  }
  return params;
}

SquatSetParams random_squat_params(std::uint64_t seed, SquatMovement movement,
                                   ClientSpread spread) {
  RandomRanges ranges = ranges_of(movement);
  ranges.posture_sd *= spread.standing;
  ranges.align_knee_sd *= spread.bends;
  SquatSetParams drawn = random_squat_params(seed, ranges);
  drawn.parts.align_knee_sd *= spread.bends;
  const SquatSetParams usual = usual_squat_params(movement);
  drawn.movement = movement;
  drawn.arms = usual.arms;
  drawn.shank_lean_per_travel = usual.shank_lean_per_travel;
  drawn.trunk_lean_extra = usual.trunk_lean_extra;
  drawn.variation = usual.variation;
  drawn.fatigue = usual.fatigue;
  drawn.pelvis_share = usual.pelvis_share;
  return drawn;
}

SquatSetParams random_squat_params(std::uint64_t seed, const RandomRanges& ranges) {
  constexpr std::uint64_t kStream = 1;
  Random random(seed, kStream);
  SquatSetParams params;
  params.seed = seed;
  draw_body(random, ranges, params);
  draw_posture(random, ranges.posture_sd, params.posture);
  draw_set(random, ranges, params);
  draw_asymmetry(random, ranges, params.asymmetry);
  return params;
}

}  // namespace strapline::recordings::synthetic
