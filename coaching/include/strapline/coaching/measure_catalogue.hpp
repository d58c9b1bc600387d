#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/placement.hpp"

namespace strapline::coaching {

/// What a measure is, for people: one entry per base name.
struct MeasureInfo {
  std::string_view name;     ///< base name, unsided: "knee_line_distance"
  std::string_view title;    ///< "knee line (distance)"
  std::string_view per_rep;  ///< which value of a rep is given: "most inward"
  std::string_view sign;     ///< sign and zero: "positive inwards"
  dsp::Unit unit = dsp::Unit::radian;
};

/// A full measure name taken apart: "knee_line_distance_at_turn_left" is the base name
/// "knee_line_distance", the second statistic "at_turn", and the left side.
struct MeasureName {
  std::string base;
  std::string statistic;  ///< "at_turn", "max", … or "" for the measure's first statistic
  dsp::Side side = dsp::Side::middle;
};

/// Every measure that a movement may list, in the order in which they are shown.
[[nodiscard]] const std::vector<MeasureInfo>& all_measures();

/// The entry of a base name; empty where there is none.
[[nodiscard]] std::optional<MeasureInfo> find_measure(std::string_view base);

/// Takes a full name apart; empty where its base is no known measure.
[[nodiscard]] std::optional<MeasureName> parse_measure_name(std::string_view full);

/// The unit of a base or full name; empty where it is no measure.
[[nodiscard]] std::optional<dsp::Unit> measure_unit(std::string_view name);

/// "knee line (distance), at the turn, left"; the name itself where it is unknown.
[[nodiscard]] std::string measure_title(std::string_view full);

/// Place in the order shown: catalogue order, then statistic, then side. Unknown names come last.
[[nodiscard]] bool shown_before(std::string_view full_a, std::string_view full_b);

}  // namespace strapline::coaching
