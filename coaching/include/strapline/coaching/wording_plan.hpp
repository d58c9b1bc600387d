#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "strapline/coaching/plan.hpp"

namespace strapline::coaching {

/// The words for the accustomed envelope and a planned set. Ranges are angles, SI.

/// "inside", "at the edge", "outside", "nothing known".
[[nodiscard]] std::string_view placing_name(Placing placing);

/// Where the planned set lies and by how much, in a sentence or two.
[[nodiscard]] std::string say_placed(const PlacedSet& placed);

/// "60 kg to 95°: new load".
[[nodiscard]] std::string say_step(const PlanStep& step);

/// What to do with the steps; "" where there are none.
[[nodiscard]] std::string say_way(const PlacedSet& placed, const EnvelopeParameters& parameters);

/// What was left out or is not known, one sentence each; empty where nothing is.
[[nodiscard]] std::vector<std::string> say_gaps(const Envelope& envelope);

/// How loads count, and for how long.
[[nodiscard]] std::string say_how_loads_count(const EnvelopeParameters& parameters);

}  // namespace strapline::coaching
