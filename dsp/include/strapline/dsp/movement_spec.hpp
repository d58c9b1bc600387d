#pragma once

#include <string>
#include <vector>

#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

/// The angle whose excursions are the reps.
enum class RangeAngle {
  thigh_depth,  ///< elevation of hip→knee (mean of the sides worn)
  knee_flexion,
  hip_flexion,          ///< mean of the sides worn
  elbow_flexion,        ///< mean of the sides worn
  elbow_extension,      ///< minus elbow flexion: starts bent (a press from the shoulders)
  working_thigh_depth,  ///< of the leg that works, one or either: from behind plumb (−) to the
                        ///< front
  strongest_turn,       ///< *free*: the angle about the axis that the strap turns about most
};

enum class FirstPhase { lowering, lifting };

/// What the computation needs of a movement; `coaching` fills it from the movement's file.
struct MovementSpec {
  std::string name = "squat";
  RangeAngle range_angle = RangeAngle::thigh_depth;
  FirstPhase first_phase = FirstPhase::lowering;
  std::vector<Segment> required;      ///< any side of each will do; empty: any one strap
  std::vector<std::string> measures;  ///< base names of measures.md that apply, unsided
  double least_range = 0.26;          ///< rad; an excursion below it is no rep (15°)
  /// Whose vertical velocity is the concentric one: the first of these that a strap is worn on.
  std::vector<Segment> velocity_of = {};
  /// rad, how far from standing the trunk is turned at least where a rep starts (a push-up, a bench
  /// press); 0: it may be upright.
  double start_trunk_turn = 0.0;
};

}  // namespace strapline::dsp
