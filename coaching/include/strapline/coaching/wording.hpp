#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "strapline/coaching/client.hpp"
#include "strapline/coaching/comparison.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// All words about findings live here; what is found is decided elsewhere. Nothing here calls a
/// rep, a client or a variation wrong.

/// "°", " cm", " s", " m/s" or "": what follows a number directly.
[[nodiscard]] std::string unit_symbol(dsp::Unit unit);

/// SI as people read it, "96.1°", "3.2 cm", "1.45 s"; with a sign in front for differences.
[[nodiscard]] std::string format_value(double si, dsp::Unit unit);
[[nodiscard]] std::string format_difference(double si, dsp::Unit unit);
/// "96.1 ± 2.0°".
[[nodiscard]] std::string format_measured(const dsp::MeasuredValue& measured);

/// "not logged" or the number with its unit.
[[nodiscard]] std::string format_load(std::optional<double> load_kg);
[[nodiscard]] std::string format_effort(std::optional<double> rpe, std::optional<double> reserve);
[[nodiscard]] std::string format_pain(std::optional<double> pain, std::string_view place);

/// "changed", "unchanged", "cannot tell yet".
[[nodiscard]] std::string verdict_name(Verdict verdict);

/// Baseline and latest, the difference, the verdict and why, in one or two sentences.
[[nodiscard]] std::string say_change(const MeasureFinding& finding);
/// Where the error comes from.
[[nodiscard]] std::string say_error(const MeasureFinding& finding);
/// The trend with its interval and the loads; "" where there is none.
[[nodiscard]] std::string say_trend(const MeasureFinding& finding);
/// For a table: "rising", "falling", or "may be none" where the interval holds 0.
[[nodiscard]] std::string say_direction(const Trend& trend);
/// "2026-10-05, 60 kg, 5 reps, RPE 7": the conditions of a side.
[[nodiscard]] std::string say_side(const Comparison& comparison, const ComparedSide& side);
/// Why a set was not compared.
[[nodiscard]] std::string say_left_out(const Comparison& comparison, const LeftOutSet& left_out);
[[nodiscard]] std::string say_missing(const MissingMeasure& missing);
/// How many of the judged measures chance alone would call changed; "" where none is judged.
[[nodiscard]] std::string say_chance(const Comparison& comparison);

/// What the columns of a table of changes mean.
[[nodiscard]] std::string_view how_to_read_changes();

/// What ± means.
[[nodiscard]] std::string_view how_to_read_u();
/// What thigh depth is not: competition depth.
[[nodiscard]] std::string_view thigh_depth_note();
/// What to do when pain is logged; "" for none. Above the limit it stops.
[[nodiscard]] std::string say_pain(std::optional<double> pain, double limit = kStrictPainLimit);

}  // namespace strapline::coaching
