#pragma once

#include <nlohmann/json.hpp>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::pages {

/// Reps as {label, part, start_s, turn_in_s, turn_out_s, end_s}: full ones numbered, part reps not.
[[nodiscard]] nlohmann::json rep_list(const dsp::SetAnalysis& analysis);

/// Measures down, reps across: rows {name, title, per_rep, sign, cells: [{value, u} | null],
/// mean, spread}. A measure that no rep has is no row.
[[nodiscard]] nlohmann::json measure_rows(const dsp::SetAnalysis& analysis);

/// Of the set as a whole, but what the rep table's mean and spread show: rows {name, title, value,
/// u}.
[[nodiscard]] nlohmann::json set_rows(const dsp::SetAnalysis& analysis);

/// What was not measured, each reason once: [{reason, measures: "knee flexion, left; …"}].
[[nodiscard]] nlohmann::json not_measured(const dsp::SetAnalysis& analysis);

}  // namespace strapline::pages
