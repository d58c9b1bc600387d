#include "strapline/recordings/synthetic/arm_params.hpp"

#include "draw.hpp"

namespace strapline::recordings::synthetic {
namespace {

/// Nobody stands plumb: 1.5° as for squats. Arms told to hang straight keep a few degrees of
/// flexion, and hang a little outwards (figures of ours).
void draw_standing(Random& random, ArmStanding& s) {
  constexpr double kPlumb = deg(1.5);
  s.trunk_lean = draw(random, 0.0, kPlumb);
  s.trunk_side_lean = draw(random, 0.0, kPlumb);
  s.thigh_lean = draw(random, 0.0, kPlumb);
  s.back_rounding = draw(random, deg(5.0), deg(4.0));
  s.arm_out = draw_sides(random, deg(4.0), kPlumb);
  s.arm_forwards = draw_sides(random, 0.0, kPlumb);
  s.arm_turn = draw_sides(random, deg(15.0), deg(8.0));
  s.elbow_flexion = draw_sides(random, deg(5.0), deg(2.0));
}

/// What the client does badly in the alignment; the arms slide up along a wall.
void draw_parts(Random& random, ArmParts& parts) {
  parts.bend_travel = random.uniform(deg(85.0), deg(115.0));
  parts.raise_travel = random.uniform(deg(65.0), deg(90.0));
  parts.raise_plane = draw_sides(random, 0.0, deg(2.0));
  parts.bow_travel = random.uniform(deg(22.0), deg(40.0));
  parts.bow_plane = draw(random, 0.0, deg(1.5));
}

void draw_set(Random& random, ArmSetParams& p) {
  const bool push = p.movement == ArmMovement::push_up;
  p.reps = random.integer(3, 10);
  p.tempo = {random.uniform(0.8, 2.5), random.uniform(0.1, 1.0), random.uniform(0.6, 1.8),
             random.uniform(0.3, 1.5)};
  p.start_flexion = random.uniform(deg(7.0), deg(20.0));
  p.turn_flexion = random.uniform(deg(95.0), deg(122.0));
  p.flexion_difference = draw(random, 0.0, deg(2.0));
  const double turn = random.uniform(deg(5.0), deg(80.0));
  p.elbow_turn = draw_sides(random, turn, deg(4.0));
  p.elbow_turn_more = random.uniform(deg(-5.0), deg(10.0));
  p.forearm_twist = draw_sides(random, deg(50.0), deg(15.0));
  p.hand_width = random.uniform(0.95, 1.5);
  p.shoulders_ahead = push ? random.uniform(-0.02, 0.06) : random.uniform(-0.03, 0.01);
  p.shoulders_ahead_more = random.uniform(-0.12, 0.0);
  p.trunk_lean = random.uniform(deg(-6.0), deg(6.0));
  p.trunk_lean_more = random.uniform(deg(-25.0), deg(0.0));
  p.set_side_lean = draw(random, 0.0, deg(1.0));
  p.set_turn = draw(random, 0.0, deg(3.0));
  p.body_line = random.uniform(deg(-12.0), deg(15.0));
  p.body_line_more = random.uniform(deg(-6.0), deg(4.0));
  p.rounding = random.uniform(deg(-5.0), deg(10.0));
  p.rounding_more = random.uniform(deg(-3.0), deg(6.0));
}

}  // namespace

std::string movement_name(ArmMovement movement) {
  return movement == ArmMovement::push_up ? "push_up" : "pull_up";
}

ArmSetParams random_arm_params(std::uint64_t seed, ArmMovement movement) {
  constexpr std::uint64_t kStream = 2;
  Random random(seed, kStream);
  ArmSetParams params;
  params.seed = seed;
  params.movement = movement;
  params.body.height = random.uniform(1.52, 1.95);
  draw_standing(random, params.standing);
  draw_parts(random, params.parts);
  draw_set(random, params);
  return params;
}

StrapSetup arm_straps() {
  using dsp::Segment;
  using dsp::Side;
  StrapSetup setup;
  setup.placements = {{Segment::chest, Side::middle},      {Segment::upper_back, Side::middle},
                      {Segment::lower_back, Side::middle}, {Segment::thigh, Side::left},
                      {Segment::thigh, Side::right},       {Segment::upper_arm, Side::left},
                      {Segment::upper_arm, Side::right},   {Segment::forearm, Side::left},
                      {Segment::forearm, Side::right}};
  return setup;
}

}  // namespace strapline::recordings::synthetic
