#include "strapline/recordings/synthetic/arm_params.hpp"

#include "draw.hpp"

namespace strapline::recordings::synthetic {
namespace {

/// Nobody stands plumb: 1.5° as for squats. Arms told to hang straight keep a few degrees of
/// flexion, and hang a little outwards (figures of ours). `spread`: as ClientSpread::standing.
void draw_standing(Random& random, double spread, ArmStanding& s) {
  const double plumb = spread * deg(1.5);
  s.trunk_lean = draw(random, 0.0, plumb);
  s.trunk_side_lean = draw(random, 0.0, plumb);
  s.thigh_lean = draw(random, 0.0, plumb);
  s.back_rounding = draw(random, deg(5.0), deg(4.0));
  s.arm_out = draw_sides(random, deg(4.0), plumb);
  s.arm_forwards = draw_sides(random, 0.0, plumb);
  s.arm_turn = draw_sides(random, deg(15.0), deg(8.0));
  s.elbow_flexion = draw_sides(random, deg(5.0), deg(2.0));
}

/// What the client does badly in the alignment; the arms slide up along a wall.
/// `spread`: as ClientSpread::bends.
void draw_parts(Random& random, double spread, ArmParts& parts) {
  parts.bend_travel = random.uniform(deg(85.0), deg(115.0));
  parts.raise_travel = random.uniform(deg(65.0), deg(90.0));
  parts.raise_plane = draw_sides(random, 0.0, spread * deg(2.0));
  parts.bow_travel = random.uniform(deg(22.0), deg(40.0));
  parts.bow_plane = draw(random, 0.0, spread * deg(1.5));
}

/// From, to of what differs from movement to movement: figures of ours, meant to cover how people
/// do it. Degrees, m.
struct ArmRanges {
  Range start_flexion{7.0, 20.0}, turn_flexion{95.0, 122.0}, elbow_turn{5.0, 80.0};
  Range ahead{-0.03, 0.01}, ahead_more{-0.12, 0.0};
  Range trunk_lean{-6.0, 6.0}, trunk_lean_more{-25.0, 0.0};
  Range body_line{-12.0, 15.0};
};

ArmRanges ranges_of(ArmMovement movement) {
  ArmRanges r;
  switch (movement) {
    case ArmMovement::push_up:
      r.ahead = {-0.02, 0.06};
      break;
    case ArmMovement::pull_up:
      break;
    case ArmMovement::bench_press:  // supine; the load comes down towards the lower chest
      r.ahead = {-0.03, 0.02};
      r.ahead_more = {-0.12, -0.02};
      r.trunk_lean = {-92.0, -84.0};
      r.trunk_lean_more = {-1.5, 1.5};
      r.body_line = {20.0, 50.0};
      break;
    case ArmMovement::overhead_press:  // from in front of the chin to overhead
      r.start_flexion = {122.0, 136.0};
      r.turn_flexion = {16.0, 26.0};
      r.elbow_turn = {10.0, 70.0};
      r.ahead = {-0.15, -0.08};
      r.ahead_more = {0.06, 0.14};
      r.trunk_lean = {-8.0, 2.0};
      r.trunk_lean_more = {-4.0, 4.0};
      break;
    case ArmMovement::dip:
      r.elbow_turn = {0.0, 45.0};
      r.turn_flexion = {80.0, 112.0};
      r.ahead = {-0.02, 0.04};
      r.ahead_more = {0.02, 0.12};
      r.trunk_lean = {2.0, 15.0};
      r.trunk_lean_more = {3.0, 22.0};
      break;
    case ArmMovement::pull_down:
      r.trunk_lean = {-15.0, 0.0};
      r.trunk_lean_more = {-15.0, 0.0};
      r.body_line = {75.0, 95.0};
      break;
    case ArmMovement::row:  // bent over; the load comes up towards the belly
      r.turn_flexion = {85.0, 115.0};
      r.elbow_turn = {5.0, 60.0};
      r.ahead = {-0.02, 0.04};
      r.ahead_more = {0.04, 0.16};
      r.trunk_lean = {40.0, 75.0};
      r.trunk_lean_more = {-8.0, 0.0};
      r.body_line = {40.0, 80.0};
      break;
  }
  return r;
}

double drawn(Random& random, Range range, double unit = deg(1.0)) {
  return unit * random.uniform(range.from, range.to);
}

void draw_set(Random& random, ArmSetParams& p) {
  const ArmRanges r = ranges_of(p.movement);
  p.reps = random.integer(3, 10);
  p.tempo = {random.uniform(0.8, 2.5), random.uniform(0.1, 1.0), random.uniform(0.6, 1.8),
             random.uniform(0.3, 1.5)};
  p.start_flexion = drawn(random, r.start_flexion);
  p.turn_flexion = drawn(random, r.turn_flexion);
  p.flexion_difference = draw(random, 0.0, deg(2.0));
  const double turn = drawn(random, r.elbow_turn);
  p.elbow_turn = draw_sides(random, turn, deg(4.0));
  p.elbow_turn_more = random.uniform(deg(-5.0), deg(10.0));
  p.forearm_twist = draw_sides(random, deg(50.0), deg(15.0));
  p.hand_width = random.uniform(0.95, 1.5);
  p.shoulders_ahead = drawn(random, r.ahead, 1.0);
  p.shoulders_ahead_more = drawn(random, r.ahead_more, 1.0);
  p.trunk_lean = drawn(random, r.trunk_lean);
  p.trunk_lean_more = drawn(random, r.trunk_lean_more);
  p.set_side_lean = draw(random, 0.0, deg(1.0));
  p.set_turn = draw(random, 0.0, deg(3.0));
  p.body_line = drawn(random, r.body_line);
  p.body_line_more = random.uniform(deg(-6.0), deg(4.0));
  p.rounding = random.uniform(deg(-5.0), deg(10.0));
  p.rounding_more = random.uniform(deg(-3.0), deg(6.0));
}

double middle(Range range, double unit = deg(1.0)) { return unit * 0.5 * (range.from + range.to); }

}  // namespace

const std::vector<ArmMovement>& arm_movements() {
  static const std::vector<ArmMovement> all{ArmMovement::push_up,     ArmMovement::pull_up,
                                            ArmMovement::bench_press, ArmMovement::overhead_press,
                                            ArmMovement::dip,         ArmMovement::pull_down,
                                            ArmMovement::row};
  return all;
}

std::string movement_name(ArmMovement movement) {
  switch (movement) {
    case ArmMovement::push_up:
      return "push_up";
    case ArmMovement::pull_up:
      return "pull_up";
    case ArmMovement::bench_press:
      return "bench_press";
    case ArmMovement::overhead_press:
      return "overhead_press";
    case ArmMovement::dip:
      return "dip";
    case ArmMovement::pull_down:
      return "pull_down";
    case ArmMovement::row:
      break;
  }
  return "row";
}

ArmSetParams usual_arm_params(ArmMovement movement) {
  ArmSetParams p;
  p.movement = movement;
  if (movement == ArmMovement::push_up || movement == ArmMovement::pull_up) return p;
  const ArmRanges r = ranges_of(movement);
  p.start_flexion = middle(r.start_flexion);
  p.turn_flexion = middle(r.turn_flexion);
  p.shoulders_ahead = middle(r.ahead, 1.0);
  p.shoulders_ahead_more = middle(r.ahead_more, 1.0);
  p.trunk_lean = middle(r.trunk_lean);
  p.trunk_lean_more = middle(r.trunk_lean_more);
  p.body_line = middle(r.body_line);
  return p;
}

ArmSetParams random_arm_params(std::uint64_t seed, ArmMovement movement, ClientSpread spread) {
  constexpr std::uint64_t kStream = 2;
  Random random(seed, kStream);
  ArmSetParams params;
  params.seed = seed;
  params.movement = movement;
  params.body.height = random.uniform(1.52, 1.95);
  draw_standing(random, spread.standing, params.standing);
  draw_parts(random, spread.bends, params.parts);
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
