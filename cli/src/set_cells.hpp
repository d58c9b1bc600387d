#pragma once

#include <optional>
#include <string>

#include "strapline/coaching/wording.hpp"

namespace strapline::cli {

// What was logged of a set, short enough for a table: "–" where it was not.

inline std::string load_cell(std::optional<double> load_kg) {
  return load_kg ? coaching::format_load(load_kg) : "–";
}

inline std::string effort_cell(std::optional<double> rpe, std::optional<double> reserve) {
  return rpe || reserve ? coaching::format_effort(rpe, reserve) : "–";
}

inline std::string pain_cell(std::optional<double> pain) {
  return pain ? coaching::format_pain(pain, "") : "–";
}

}  // namespace strapline::cli
