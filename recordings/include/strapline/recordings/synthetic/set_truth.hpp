#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "strapline/recordings/synthetic/body_motion.hpp"

namespace strapline::recordings::synthetic {

/// A true value, SI; not a number where the measure is undefined (RepTruth::why says why).
struct TrueValue {
  double value = 0.0;
  dsp::Unit unit = dsp::Unit::radian;
};

/// Vertical velocity of a strap over a rep's lifting phase, m/s, positive upwards.
struct TrueVelocity {
  double mean = 0.0, peak = 0.0;
};

/// One excursion of the set: what an analysis without any error would say of the bones.
struct RepTruth {
  double start_s = 0.0, turn_in_s = 0.0, turn_out_s = 0.0, end_s = 0.0;
  double turn_s = 0.0;                 ///< furthest instant: where "at the turn" is read
  bool part = false;                   ///< range below half of the set's median range
  bool doubtful = false;               ///< so near to half that full and part are both right
  dsp::Side side = dsp::Side::middle;  ///< of the leg that worked, where one does at a time
  double range = 0.0;                  ///< rad, of the range angle, start to turn
  std::optional<double> start_hold_s;  ///< in the start posture afterwards; empty: no rep follows
  std::map<std::string, TrueValue> measures;  ///< by the analysis's names, but range and tempo

  std::map<dsp::Placement, TrueVelocity> velocity;  ///< of each strap worn
  std::map<dsp::Placement, double> strap_turn;      ///< rad, of each, start to furthest instant

  /// SI; throws std::out_of_range for a name that the movement does not have.
  [[nodiscard]] double value(const std::string& name) const { return measures.at(name).value; }
};

/// Read off the noise-free movement: phases from the exact rate of the range angle (they begin and
/// end where it crosses 5 % of the phase's peak rate), to 1 µs; statistics on a 5 ms grid, whose
/// error on a maximum is below 0.01°. Alignment movements are no reps.
[[nodiscard]] std::vector<RepTruth> rep_truth(const BodyMotion& motion);

}  // namespace strapline::recordings::synthetic
