#include "compare_json.hpp"

#include <cmath>

#include "strapline/coaching/wording.hpp"

#include "set_json.hpp"

namespace strapline::cli {
namespace {

using coaching::Comparison;
using coaching::MeasureFinding;
using nlohmann::ordered_json;

constexpr double kDaysPerWeek = 7.0;

ordered_json number(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

ordered_json sets_json(const Comparison& comparison) {
  ordered_json list = ordered_json::array();
  for (const coaching::ComparedSet& set : comparison.sets) {
    ordered_json one;
    one["file"] = set.name;
    one["started_utc"] = set.started_utc;
    one["movement"] = set.movement;
    one["variation"] = set.variation;
    one["kit"] = set.kit;
    one["load_kg"] = number(set.load_kg);
    one["effort_rpe"] = number(set.effort_rpe);
    one["reps_in_reserve"] = number(set.reps_in_reserve);
    one["pain"] = number(set.pain);
    one["full_reps"] = set.full_reps;
    list.push_back(std::move(one));
  }
  return list;
}

ordered_json side_json(const coaching::ComparedSide& side, double factor) {
  return {
      {"value", side.mean.value * factor}, {"wearings", side.mean.wearings}, {"sets", side.sets}};
}

void add_change(const MeasureFinding& finding, double factor, ordered_json& json) {
  const coaching::Change& change = *finding.change;
  json["verdict"] = coaching::verdict_name(change.verdict);
  json["baseline"] = side_json(*finding.baseline, factor);
  json["latest"] = side_json(*finding.latest, factor);
  json["difference"] = change.difference * factor;
  json["mdc95"] = change.mdc95 * factor;
  json["interval95"] = {change.low * factor, change.high * factor};
  json["smaller_than_matters"] = change.smaller_than_matters;
  json["further_sets"] = change.further_sets ? ordered_json(*change.further_sets) : ordered_json();
}

ordered_json error_json(const coaching::ErrorBasis& error, double factor) {
  const bool own = error.source == coaching::ErrorSource::own_repeats;
  ordered_json json;
  json["source"] = own ? "own_repeats" : "stated_uncertainty";
  json["sem"] = error.sem * factor;
  const bool finite = std::isfinite(error.degrees_of_freedom);
  json["degrees_of_freedom"] = finite ? ordered_json(error.degrees_of_freedom) : ordered_json();
  return json;
}

ordered_json trend_json(const coaching::Trend& trend, double factor) {
  const double per_week = factor * kDaysPerWeek;
  return {{"sets", trend.sets},
          {"days", trend.days},
          {"per_week", trend.per_day.slope * per_week},
          {"interval95", {trend.per_day.low * per_week, trend.per_day.high * per_week}},
          {"p_two_sided", trend.test.p_two_sided},
          {"first_load_kg", number(trend.first_load_kg)},
          {"last_load_kg", number(trend.last_load_kg)}};
}

ordered_json values_json(const MeasureFinding& finding, double factor) {
  ordered_json list = ordered_json::array();
  for (const coaching::SetValue& value : finding.values) {
    list.push_back({{"set", value.set},
                    {"value", value.mean.value * factor},
                    {"stated_error", value.mean.stated_error * factor},
                    {"within_sd", value.mean.within_sd * factor},
                    {"reps", value.mean.reps}});
  }
  return list;
}

ordered_json finding_json(const MeasureFinding& finding) {
  const double factor = dsp::display_factor(finding.unit);
  ordered_json json;
  json["measure"] = finding.measure;
  json["unit"] = dsp::display_unit(finding.unit);
  if (finding.change) add_change(finding, factor, json);
  const auto& matters = finding.smallest_that_matters;
  json["smallest_that_matters"] = matters ? ordered_json(*matters * factor) : ordered_json();
  json["error"] = error_json(finding.error, factor);
  if (finding.trend) json["trend"] = trend_json(*finding.trend, factor);
  json["values"] = values_json(finding, factor);
  json["in_words"] = coaching::say_change(finding);
  return json;
}

}  // namespace

std::string compare_json(const Comparison& comparison, const coaching::Movement& movement,
                         const ordered_json& more) {
  ordered_json json;
  json["client"] = comparison.sets.back().client;
  json["movement"] = movement.name;
  json["sets"] = sets_json(comparison);
  json["findings"] = ordered_json::array();
  for (const MeasureFinding& finding : comparison.findings) {
    json["findings"].push_back(finding_json(finding));
  }
  json["left_out"] = ordered_json::array();
  for (const auto& set : comparison.left_out) {
    json["left_out"].push_back(
        {{"set", set.set}, {"in_words", coaching::say_left_out(comparison, set)}});
  }
  json["not_measured"] = ordered_json::array();
  for (const auto& missing : comparison.missing) {
    json["not_measured"].push_back({{"measure", missing.measure}, {"reason", missing.reason}});
  }
  json["cautions"] = movement.cautions;
  json.update(more);
  return json_text(json);
}

}  // namespace strapline::cli
