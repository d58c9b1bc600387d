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

void draw_posture(Random& random, const RandomRanges& ranges, StandingPosture& posture) {
  // A knee that is bent backwards when standing is drawn again: see StandingPosture.
  if (ranges.posture_sd <= 0.0) {  // plumb, as near as the leg's geometry lets a knee be straight
    posture = StandingPosture{};
    posture.shank_lean = posture.thigh_lean = deg(0.25);
    return;
  }
  do {
    posture.shank_lean = draw(random, 0.0, ranges.posture_sd);
    posture.thigh_lean = draw(random, 0.0, ranges.posture_sd);
  } while (posture.shank_lean + posture.thigh_lean < deg(0.5));
  posture.pelvis_lean = draw(random, 0.0, ranges.posture_sd);
  posture.lower_back_lean = draw(random, 0.0, ranges.posture_sd);
  posture.trunk_lean = draw(random, 0.0, ranges.posture_sd);
  posture.trunk_side_lean = draw(random, 0.0, ranges.posture_sd);
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

SquatSetParams random_squat_params(std::uint64_t seed, const RandomRanges& ranges) {
  constexpr std::uint64_t kStream = 1;
  Random random(seed, kStream);
  SquatSetParams params;
  params.seed = seed;
  draw_body(random, ranges, params);
  draw_posture(random, ranges, params.posture);
  draw_set(random, ranges, params);
  draw_asymmetry(random, ranges, params.asymmetry);
  return params;
}

}  // namespace strapline::recordings::synthetic
