#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "strapline/recordings/recording.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"
#include "strapline/recordings/synthetic/strap_setup.hpp"

namespace strapline::recordings::synthetic {

enum class ArmMovement { push_up, pull_up, bench_press, overhead_press, dip, pull_down, row };

/// All of them.
[[nodiscard]] const std::vector<ArmMovement>& arm_movements();

/// "push_up", "pull_up": the movements' own names.
[[nodiscard]] std::string movement_name(ArmMovement movement);

/// Nobody stands plumb, and nobody's arms hang plumb. rad, when standing still with the arms
/// hanging straight.
struct ArmStanding {
  double trunk_lean = 0.0, trunk_side_lean = 0.0;  ///< forwards, to the right
  double thigh_lean = 0.0;                         ///< thigh's upper end forwards
  double back_rounding = deg(5.0);                 ///< upper against lower back
  Sides arm_out{deg(4.0), deg(4.0)};               ///< elbow away from the body
  Sides arm_forwards;                              ///< elbow ahead of the shoulder
  Sides arm_turn{deg(15.0), deg(15.0)};            ///< upper arm about its own axis, inwards
  Sides elbow_flexion{deg(5.0), deg(5.0)};         ///< arms told to hang straight
};

/// measures.md "Alignment" for the arms: still; slow elbow bends, upper arms hanging; both arms
/// raised to the side once, elbows straight; a bow, which shows the trunk's own axes; then the
/// start position is taken up.
struct ArmParts {
  double still = 4.0;  ///< s
  int bends = 2;
  double bend_travel = deg(100.0);  ///< rad of elbow flexion
  double bend_phase = 1.5;          ///< s, there and back, each
  double raise_travel = deg(80.0);  ///< rad
  double raise_phase = 1.8;         ///< s
  Sides raise_plane;                ///< rad, ahead of the frontal plane: what the client does badly
  double bow_travel = deg(30.0);    ///< rad of trunk lean
  double bow_phase = 1.6;           ///< s
  double bow_plane = 0.0;           ///< rad, the bow's direction off straight ahead, to the left
  double before_ready = 0.5;  ///< s, standing between the bow and taking up the start position
  double get_ready = 3.5;     ///< s, from standing to the start position, and back
  double after_set = 0.0;     ///< s, standing, from leaving the start position to still_after
  double still_after = 4.0;   ///< s; 0: no second still part
};

/// How much each rep differs from the next, 1 sigma.
struct ArmVariation {
  double flexion = deg(3.0);     ///< rad, at the turn
  double elbow_turn = deg(3.0);  ///< rad, per side
  double body_line = deg(1.0);   ///< rad
  double tempo = 0.06;           ///< share of each phase's duration
  double shape = 0.05;           ///< speed earlier or later within a phase
};

/// Everything that determines a synthetic set of the arms. World: Y up, X forwards (push-up:
/// towards the head; bench: towards the feet), Z to the right. In push-ups, pull-ups and dips the
/// hands stay where they are (they rock by a few millimetres with the sway); else the trunk does.
struct ArmSetParams {
  SetDescription description;  ///< an empty client becomes "stretcher lead"; movement is set
  std::uint64_t seed = 1;      ///< of the variation and sway
  ArmMovement movement = ArmMovement::push_up;
  BodyBuild body;
  ArmStanding standing;
  ArmParts parts;
  int reps = 5;
  std::vector<int> part_reps;      ///< which reps (from 0) are part reps
  double part_share = 0.35;        ///< elbow travel of a part rep, share of a full one
  std::optional<int> pause_after;  ///< a breather in the start position after this rep (from 0)
  double pause = 4.0;              ///< s
  /// The last rep's lifting takes so many times as long, and sticks half-way; 1: it does not.
  double grind = 1.0;
  Tempo tempo{1.6, 0.3, 1.1, 0.8};
  double start_flexion = deg(10.0);  ///< rad of elbow flexion in the start position
  double turn_flexion = deg(112.0);  ///< rad at the turn
  double flexion_difference = 0.0;   ///< rad at the turn, left minus right
  /// Direction into which the elbow bends, about the line from hand to shoulder: 0 towards the feet
  /// (push-up, bench, row), forwards (pull-up, pull-down, overhead press) or backwards (dip), 90°
  /// straight out. In the start position, and more at the
  /// turn.
  Sides elbow_turn{deg(40.0), deg(40.0)};
  double elbow_turn_more = deg(5.0);
  Sides forearm_twist{deg(50.0), deg(50.0)};  ///< rad, hand turned palm down against hanging
  double hand_width = 1.25;                   ///< hands' distance, share of the shoulders'
  double shoulders_ahead = 0.02;              ///< m ahead of the hands in the start position
  double shoulders_ahead_more = 0.0;          ///< m, more at the turn (not push-up)
  double trunk_lean = 0.0;                    ///< rad, in the start position (not push-up)
  double trunk_lean_more = deg(-12.0);        ///< rad, more at the turn (not push-up)
  double set_side_lean = 0.0;                 ///< rad, trunk to the right during the set
  double set_turn = 0.0;                      ///< rad, trunk turned to the left during the set
  double body_line = 0.0;                     ///< rad, positive piked, in the start position
  double body_line_more = deg(-3.0);          ///< rad, more at the turn
  double rounding = deg(4.0);                 ///< rad, more than standing, in the start position
  double rounding_more = deg(3.0);            ///< rad, more at the turn
  ArmVariation variation;
  double fatigue_flexion = deg(3.0);  ///< rad less at the turn of the last rep
  double sway = 1.0;                  ///< factor on the sway (1: about 0.4°, as in a squat)
};

/// A random client doing a random set; the same for the same seed on every platform.
[[nodiscard]] ArmSetParams random_arm_params(std::uint64_t seed, ArmMovement movement,
                                             ClientSpread spread = {});

/// The movement's usual posture and range, nothing drawn.
[[nodiscard]] ArmSetParams usual_arm_params(ArmMovement movement);

/// Chest, upper and lower back, both upper arms and forearms, both thighs.
[[nodiscard]] StrapSetup arm_straps();

}  // namespace strapline::recordings::synthetic
