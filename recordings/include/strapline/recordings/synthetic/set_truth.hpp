#pragma once

#include <optional>
#include <vector>

#include "strapline/recordings/synthetic/squat_motion.hpp"

namespace strapline::recordings::synthetic {

/// A sided measure's two statistics (measures.md): the first-listed and the one at the turn.
struct RepSide {
  double thigh_depth = 0.0;                 ///< rad, maximum
  double knee_flexion = 0.0;                ///< rad, maximum
  double knee_line_distance = 0.0;          ///< m, most inward
  double knee_line_distance_at_turn = 0.0;  ///< m
  double knee_line_angle = 0.0;             ///< rad, most inward
  double knee_line_angle_at_turn = 0.0;     ///< rad
  double knee_travel = 0.0;                 ///< m, maximum
};

/// One excursion of the set: what an analysis without any error would say of the bones.
struct RepTruth {
  double start_s = 0.0, turn_in_s = 0.0, turn_out_s = 0.0, end_s = 0.0;
  double turn_s = 0.0;  ///< deepest instant: where "at the turn" is read
  bool part = false;    ///< range below half of the set's median range
  RepSide left, right;
  double trunk_lean = 0.0;           ///< rad, at the turn
  double trunk_lean_max = 0.0;       ///< rad
  double range = 0.0;                ///< rad, of the mean thigh depth, start to end
  std::optional<double> top_hold_s;  ///< empty for the last: no rep follows
};

/// Read off the noise-free movement: phases from the exact rate of the range angle (they begin and
/// end where it crosses 5 % of the phase's peak rate), to 1 µs; statistics on a 5 ms grid, whose
/// error on a maximum is below 0.01°. Alignment bends are no reps.
[[nodiscard]] std::vector<RepTruth> rep_truth(const SquatMotion& motion);

}  // namespace strapline::recordings::synthetic
