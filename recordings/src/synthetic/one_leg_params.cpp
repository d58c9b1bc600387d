#include "strapline/recordings/synthetic/one_leg_params.hpp"

#include "draw.hpp"

namespace strapline::recordings::synthetic {
namespace {

/// Who stands how: as in squats (figures of ours).
void draw_client(Random& random, ClientSpread spread, OneLegSetParams& p) {
  p.body.height = random.uniform(1.52, 1.95);
  draw_posture(random, spread.standing * deg(1.5), p.posture);
  const double toe_out = random.uniform(deg(2.0), deg(15.0));
  p.toe_out = draw_sides(random, toe_out, deg(2.0));
  const double slant = random.uniform(deg(0.5), deg(4.0));
  p.slant = draw_sides(random, slant, deg(0.7));
  p.parts.align_knee_line = draw_sides(random, 0.0, spread.bends * cm(0.6));
  p.parts.align_knee_sd *= spread.bends;
}

void draw_split(Random& random, OneLegSetParams& p) {
  p.depth = random.uniform(deg(-18.0), deg(6.0));
  p.step = p.body.height * random.uniform(0.38, 0.46);
  p.working.stance_thigh = random.uniform(deg(20.0), deg(30.0));
  p.working.stance_shank = random.uniform(deg(-20.0), deg(-12.0));
  p.working.shank_lean = random.uniform(deg(-4.0), deg(15.0));
}

void draw_lunge(Random& random, OneLegSetParams& p) {
  p.depth = random.uniform(deg(-18.0), deg(6.0));
  p.step = p.body.height * random.uniform(0.38, 0.48);
  p.working.shank_lean = random.uniform(deg(-4.0), deg(15.0));
}

void draw_step_down(Random& random, OneLegSetParams& p) {
  p.depth = random.uniform(deg(-48.0), deg(-22.0));
  p.working.shank_lean = random.uniform(deg(16.0), deg(30.0));
  p.box = random.uniform(0.12, 0.30);
  p.free_thigh = random.uniform(deg(2.0), deg(22.0));
  p.free_knee = random.uniform(deg(5.0), deg(25.0));
}

void draw_set(Random& random, OneLegSetParams& p) {
  p.reps = p.movement == OneLegMovement::lunge ? 2 * random.integer(2, 6) : random.integer(3, 10);
  p.side = random.uniform() < 0.5 ? dsp::Side::left : dsp::Side::right;
  p.tempo = {random.uniform(1.0, 3.0), random.uniform(0.1, 1.2), random.uniform(0.8, 2.0),
             random.uniform(0.4, 1.8)};
  p.working.knee_line = random.uniform(cm(-2.0), cm(4.0));
  p.working.knee_dip = random.uniform(0.0, cm(1.5));
  p.trunk_lean = random.uniform(deg(3.0), deg(30.0));
  p.knee_twist = draw(random, 0.0, deg(1.5));
}

}  // namespace

const std::vector<OneLegMovement>& one_leg_movements() {
  static const std::vector<OneLegMovement> all{OneLegMovement::split_squat, OneLegMovement::lunge,
                                               OneLegMovement::step_down};
  return all;
}

std::string movement_name(OneLegMovement movement) {
  switch (movement) {
    case OneLegMovement::split_squat:
      return "split_squat";
    case OneLegMovement::lunge:
      return "lunge";
    case OneLegMovement::step_down:
      break;
  }
  return "step_down";
}

OneLegSetParams usual_one_leg_params(OneLegMovement movement) {
  OneLegSetParams p;
  p.movement = movement;
  if (movement == OneLegMovement::split_squat) {
    p.working.stance_thigh = deg(25.0);
    p.working.stance_shank = deg(-16.0);
  }
  if (movement == OneLegMovement::step_down) {
    p.depth = deg(-35.0);
    p.working.shank_lean = deg(22.0);
    p.step = 0.25;
    p.box = 0.2;
  }
  return p;
}

OneLegSetParams random_one_leg_params(std::uint64_t seed, OneLegMovement movement,
                                      ClientSpread spread) {
  constexpr std::uint64_t kStream = 3;
  Random random(seed, kStream);
  OneLegSetParams params = usual_one_leg_params(movement);
  params.seed = seed;
  draw_client(random, spread, params);
  draw_set(random, params);
  if (movement == OneLegMovement::split_squat) draw_split(random, params);
  if (movement == OneLegMovement::lunge) draw_lunge(random, params);
  if (movement == OneLegMovement::step_down) draw_step_down(random, params);
  return params;
}

}  // namespace strapline::recordings::synthetic
