#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "strapline/recordings/recording.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {

/// Feet: fixed for the whole recording, but for a Restance.
struct Stance {
  double ankle_spacing = 0.28;          ///< m, between the ankle centres
  Sides toe_out{deg(12.0), deg(12.0)};  ///< rad, toe line turned outwards
};

/// The feet are placed anew between the bends and the set, one after the other, and stay so: a
/// walk-out's last two steps. None where nothing changes.
struct Restance {
  Sides toe_out;               ///< rad, further outwards than before
  double ankle_spacing = 0.0;  ///< m, wider than before
  double step = 0.9;           ///< s, of each foot
  double flexion = deg(35.0);  ///< rad, of the knee amid the step
  double heel_up = deg(25.0);  ///< rad, same, of the foot

  [[nodiscard]] bool any() const {
    return toe_out.left != 0.0 || toe_out.right != 0.0 || ankle_spacing != 0.0;
  }
};

/// Feet turned out or in by some degrees, further apart or nearer.
[[nodiscard]] Restance random_restance(std::uint64_t seed);

/// How much each rep differs from the next, 1 sigma.
struct RepVariation {
  double depth = deg(2.0);       ///< rad
  double tempo = 0.06;           ///< share of each phase's duration
  double knee_line = cm(0.4);    ///< m, per side
  double trunk_lean = deg(1.5);  ///< rad
  double shape = 0.05;           ///< speed earlier or later within a phase; below 0.13
};

/// What changes from the first rep to the last, linearly.
struct Fatigue {
  double depth_lost = deg(2.0);   ///< rad less deep in the last rep
  double lifting_slower = 0.25;   ///< share by which lifting takes longer in the last rep
  double knee_inwards = cm(0.5);  ///< m further inwards in the last rep
};

/// Left–right differences; each grows with depth, its value holds at 90° of thigh travel.
struct Asymmetry {
  double flexion = 0.0;       ///< rad, left minus right knee flexion
  double pelvis_shift = 0.0;  ///< m, to the right
  double pelvis_turn = 0.0;   ///< rad, to the left (right hip forwards)
  double side_lean = 0.0;     ///< rad, trunk to the right
};

/// Nobody stands plumb. Inclinations when standing still, rad, positive when the segment's upper
/// end is ahead of its lower end (shank, pelvis, back) or behind it (thigh: knee ahead of hip).
/// Shank plus thigh is the standing knee flexion: in random clients at or above 0.5°, or 0 in those
/// who stand plumb.
struct StandingPosture {
  double shank_lean = deg(1.0);
  double thigh_lean = deg(1.0);
  double pelvis_lean = 0.0;
  double lower_back_lean = 0.0;
  double trunk_lean = 0.0;
  double trunk_side_lean = 0.0;  ///< to the right
};

/// The parts of the recording (measures.md "Alignment"), s.
struct PartsPlan {
  double still = 4.0;
  int align_bends = 3;
  double align_travel = deg(42.0);  ///< rad, thigh travel of a bend
  double align_phase = 1.6;         ///< s, lowering and lifting of a bend, each
  /// Knee off the toe line at the bottom of the bends, m, positive inwards: what the client does
  /// badly there. Varies from bend to bend by `align_knee_sd`.
  Sides align_knee_line;
  double align_knee_sd = cm(0.3);  ///< m
  /// rad of thigh travel within which the knee arrives over the toe line: sooner than in the set,
  /// because it is what the bends are about. A straight leg has no choice of knee line.
  double align_knee_within = deg(15.0);
  double before_set = 3.0;   ///< s between bends and set, with fidgets
  double after_set = 0.0;    ///< s, standing, from the set to the second still part
  double still_after = 4.0;  ///< 0: no second still part
};

enum class Arms { hanging, holding_bar, holding_front };

/// Both legs, feet in their place.
enum class SquatMovement { squat, front_squat, hip_hinge };

/// "squat", "front_squat", "hip_hinge": the movements' own names.
[[nodiscard]] std::string movement_name(SquatMovement movement);

/// Everything that determines a synthetic squat set. World: Y up, X forwards, Z to the right.
struct SquatSetParams {
  SetDescription
      description;         ///< copied into the recording; an empty client becomes "stretcher lead"
  std::uint64_t seed = 1;  ///< of the variation, sway and fidgets
  SquatMovement movement = SquatMovement::squat;  ///< says which angle the reps are of
  BodyBuild body;
  Stance stance;
  Restance restance;
  StandingPosture posture;
  int reps = 5;
  double depth = 0.0;  ///< rad, thigh depth (mean of the sides) at the turn; 0: parallel
  Tempo tempo;
  /// Knee off the toe line at the turn, m, positive inwards.
  Sides knee_line;
  double knee_within = deg(30.0);       ///< rad, as PartsPlan::align_knee_within, for the set
  double knee_dip = cm(0.5);            ///< m, further inwards early in lifting
  double trunk_lean = deg(35.0);        ///< rad, at the turn
  double trunk_lean_extra = deg(3.0);   ///< rad, more early in lifting
  double shank_lean_per_travel = 0.33;  ///< rad of shank lean per rad of thigh travel, in reps
  double pelvis_share = 0.75;           ///< of the trunk's lean that the pelvis makes
  double knee_twist = deg(1.5);  ///< rad, axial turn of the thigh against the hinge at 90° travel
  double knee_wander = 1.0;  ///< factor on how far a knee is from a hinge (1: about 0.75°); 0 to 4
  RepVariation variation;
  Fatigue fatigue;
  Asymmetry asymmetry;
  double sway = 1.0;               ///< factor on postural sway (1: about 0.4°, 3 mm); 0 to 1.4
  int fidgets = 2;                 ///< weight shifts between the bends and the set
  std::vector<int> part_reps;      ///< which reps (from 0) are part reps
  double part_share = 0.35;        ///< thigh travel of a part rep, share of a full one
  std::optional<int> pause_after;  ///< a breather at the top after this rep (from 0)
  double pause = 4.0;              ///< s
  /// The last rep's lifting takes so many times as long, and sticks half-way; 1: it does not.
  double grind = 1.0;
  PartsPlan parts;
  Arms arms = Arms::hanging;
};

/// What random_squat_params draws from. Ranges are uniform, `_sd` normal within 2.5 sigma.
struct RandomRanges {
  Range height{1.52, 1.95};            ///< m
  double length_sd = 0.03;             ///< share, of thigh, shank and foot about the height's
  double ankle_from_heel_sd = 0.03;    ///< share of the foot length, about 0.25
  Range ankle_spacing{0.12, 0.20};     ///< share of the height
  Range toe_out{deg(5.0), deg(25.0)};  ///< rad
  double toe_out_side_sd = deg(2.0);   ///< rad, each side about the common value
  Range reps{3.0, 10.0};
  Range depth{deg(-20.0), deg(20.0)};      ///< rad
  Range lowering{1.0, 3.5};                ///< s
  Range bottom_hold{0.1, 1.5};             ///< s
  Range lifting{0.7, 2.2};                 ///< s
  Range top_hold{0.4, 2.0};                ///< s
  Range knee_line{cm(-3.0), cm(4.0)};      ///< m, common to both sides
  double knee_line_side_sd = cm(1.0);      ///< m, each side about the common value
  Range knee_dip{0.0, cm(1.5)};            ///< m
  Range trunk_lean{deg(20.0), deg(50.0)};  ///< rad
  double posture_sd = deg(1.5);            ///< rad, of every standing inclination
  double align_knee_sd = cm(0.6);          ///< m, of the bends' knee line, each side
  double asymmetry_flexion_sd = deg(1.5);  ///< rad
  double asymmetry_shift_sd = cm(0.7);     ///< m
  double asymmetry_turn_sd = deg(1.5);     ///< rad
  double side_lean_sd = deg(1.5);          ///< rad
  double knee_twist_sd = deg(1.5);         ///< rad
  double part_rep_chance = 0.0;            ///< that a set holds one part rep
  double pause_chance = 0.2;               ///< that a set holds a mid-set pause
};

/// What a front squat or a hip hinge draws from instead.
[[nodiscard]] RandomRanges ranges_of(SquatMovement movement);

/// A random client doing a random set; the same for the same seed on every platform.
[[nodiscard]] SquatSetParams random_squat_params(std::uint64_t seed,
                                                 const RandomRanges& ranges = {});
[[nodiscard]] SquatSetParams random_squat_params(std::uint64_t seed, SquatMovement movement,
                                                 ClientSpread spread = {});

/// The movement's usual posture and range, nothing drawn.
[[nodiscard]] SquatSetParams usual_squat_params(SquatMovement movement);

}  // namespace strapline::recordings::synthetic
