#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/movement_spec.hpp"
#include "strapline/dsp/placement.hpp"

namespace strapline::coaching {

/// A movement as its TOML file describes it (README.md "A movement's file").
struct Movement {
  std::string name;                    ///< "squat": what options and recordings say
  std::string title;                   ///< "Squat": what people read
  std::vector<dsp::Segment> required;  ///< any side of each; empty: any one strap
  std::vector<dsp::Segment> optional;  ///< each adds measures
  dsp::RangeAngle range_angle = dsp::RangeAngle::thigh_depth;
  dsp::FirstPhase first_phase = dsp::FirstPhase::lowering;
  double least_range = 0.0;           ///< rad; an excursion below it is no rep
  std::vector<std::string> measures;  ///< base names, in the file's order
  /// Whose vertical velocity is the concentric one, in order of preference; may be empty.
  std::vector<dsp::Segment> velocity_of;
  double start_trunk_turn = 0.0;  ///< rad, of the trunk from standing at a rep's start, at least
  std::string start_posture;
  std::string alignment;                        ///< how the alignment warm-up goes
  std::vector<std::string> cautions;            ///< the usual ones; never empty
  std::map<dsp::Segment, std::string> wearing;  ///< where and how a strap is worn
};

/// Names of the movements that are built in, sorted.
[[nodiscard]] std::vector<std::string> built_in_movements();

/// A movement from the text of its file. `where` names the file in a failure: "FILE:LINE: reason".
[[nodiscard]] dsp::Result<Movement> parse_movement(std::string_view toml, std::string_view where);

/// A built-in movement by name, or, where `name_or_path` ends in ".toml", the movement in that
/// file. Fails where there is no such movement or file, or where the file is faulty.
[[nodiscard]] dsp::Result<Movement> load_movement(const std::string& name_or_path);

/// What the computation needs of it.
[[nodiscard]] dsp::MovementSpec to_spec(const Movement& movement);

}  // namespace strapline::coaching
