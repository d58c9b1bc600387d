#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "strapline/dsp/placement.hpp"
#include "strapline/recordings/recording.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

/// One leg works at a time: the front one of a split stance, the one that steps, the one on the
/// box.
enum class OneLegMovement { split_squat, lunge, step_down };

/// All of them.
[[nodiscard]] const std::vector<OneLegMovement>& one_leg_movements();

/// "split_squat", "lunge", "step_down": the movements' own names.
[[nodiscard]] std::string movement_name(OneLegMovement movement);

/// The working leg in the start position and at the turn, rad against standing. Thigh: knee ahead
/// of the hip; shank: knee ahead of the ankle.
struct WorkingLeg {
  double stance_thigh = 0.0, stance_shank = 0.0;  ///< split squat
  double shank_lean = deg(5.0);                   ///< at the turn, from plumb
  double knee_line = 0.0;                         ///< m at the turn, positive inwards
  double knee_dip = cm(0.5);                      ///< m, further inwards early in lifting
  double knee_within = deg(30.0);                 ///< rad of travel until the knee is on its line
};

/// Everything that determines a synthetic set of one leg at a time. World as for squats.
struct OneLegSetParams {
  SetDescription description;  ///< an empty client becomes "stretcher lead"; movement is set
  std::uint64_t seed = 1;
  OneLegMovement movement = OneLegMovement::split_squat;
  BodyBuild body;
  StandingPosture posture;
  Sides toe_out{deg(8.0), deg(8.0)};  ///< rad
  Sides slant{deg(2.0), deg(2.0)};    ///< rad, legs' upper ends inwards: feet wider than the hips
  int reps = 6;                       ///< lunges of both sides together
  dsp::Side side = dsp::Side::left;   ///< that works; of lunges the one that steps first
  std::vector<int> part_reps;         ///< which reps (from 0) are part reps
  double part_share = 0.35;
  std::optional<int> pause_after;
  double pause = 4.0;  ///< s
  double grind = 1.0;  ///< as SquatSetParams::grind
  Tempo tempo{1.6, 0.3, 1.2, 0.8};
  double depth = 0.0;  ///< rad, of the working thigh at the turn
  WorkingLeg working;
  double step = 0.72;             ///< m, split stance's or lunge's length; onto the box: 0.25
  double box = 0.0;               ///< m, its height (step-down)
  double free_thigh = deg(12.0);  ///< rad at the turn, of the leg beside the box
  double free_knee = deg(15.0);   ///< rad at the turn, same
  double trunk_lean = deg(10.0);  ///< rad at the turn
  double pelvis_share = 0.75;     ///< of the trunk's lean that the pelvis makes
  double knee_twist = deg(1.5);   ///< rad, as SquatSetParams::knee_twist
  double knee_wander = 1.0;       ///< as SquatSetParams::knee_wander
  RepVariation variation;
  double sway = 1.0;
  PartsPlan parts;
  double get_ready = 2.0;  ///< s, from standing to the start position, and back (not lunges)
};

/// A random client doing a random set; the same for the same seed on every platform.
[[nodiscard]] OneLegSetParams random_one_leg_params(std::uint64_t seed, OneLegMovement movement,
                                                    ClientSpread spread = {});

/// The movement's usual posture and range, nothing drawn.
[[nodiscard]] OneLegSetParams usual_one_leg_params(OneLegMovement movement);

}  // namespace strapline::recordings::synthetic
