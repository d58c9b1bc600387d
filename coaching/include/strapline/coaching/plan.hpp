#pragma once

#include <optional>
#include <vector>

#include "strapline/coaching/envelope.hpp"

namespace strapline::coaching {

/// A set that is planned.
struct PlannedSet {
  double load_kg = 0.0;
  double range = 0.0;  ///< SI
};

enum class Placing {
  inside,
  at_edge,  ///< handled once, or one small step away, in load or in range but not in both
  outside,
  nothing_known  ///< no set counts
};

/// What is new in one step.
enum class NewThing { range, load };

struct PlanStep {
  PlannedSet set;
  NewThing brings = NewThing::load;
  bool coarse = false;  ///< even one plate is a greater step than most_load_step
};

/// Where a planned set lies, and the way there.
struct PlacedSet {
  PlannedSet planned;
  Placing placing = Placing::nothing_known;
  bool new_range = false;
  bool new_load = false;                   ///< more than is accustomed at this range
  bool once = false;                       ///< handled at this range and load, but on too few days
  EnvelopeBin at_range;                    ///< what was handled at this range or further
  std::optional<double> accustomed_range;  ///< furthest, SI
  std::optional<double> accustomed_load_kg;  ///< at the planned range, else at the furthest
  std::vector<PlanStep> steps;  ///< smallest steps; the last one is the planned set itself
  bool steps_cut = false;       ///< there are more than most_steps
};

/// Inside: accustomed at this range or further, with this load or more. A new range may be reached
/// by one bin at the accustomed load, or further with a light one; everything else is two new
/// things at once.
[[nodiscard]] PlacedSet place_set(const Envelope& envelope, const PlannedSet& planned);

/// The next load up from this one: the nearest multiple of the plates to +5 %, within +2–10 %; one
/// plate where that is less than the smallest plates allow.
[[nodiscard]] PlanStep next_load(double load_kg, double range,
                                 const EnvelopeParameters& parameters);

}  // namespace strapline::coaching
