#include "strapline/pages/compare_page.hpp"

#include <algorithm>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

#include "page_template.hpp"

namespace strapline::pages {
namespace {

using coaching::Comparison;
using coaching::MeasureFinding;
using nlohmann::json;

constexpr double kSecondsPerDay = 86400.0;

json header(const Comparison& comparison) {
  const coaching::ComparedSet& latest = comparison.sets.back();
  const auto fact = [](std::string_view label, const std::string& value) {
    return json{{"label", label}, {"value", value.empty() ? "not logged" : value}};
  };
  return {fact("client", latest.client),
          fact("variation", latest.variation),
          fact("kit", latest.kit),
          fact("sets", std::to_string(comparison.sets.size())),
          fact("from", coaching::date_from_days(comparison.day.front())),
          fact("to", coaching::date_from_days(comparison.day.back()))};
}

json set_list(const Comparison& comparison) {
  json list = json::array();
  for (std::size_t i = 0; i < comparison.sets.size(); ++i) {
    const coaching::ComparedSet& set = comparison.sets[i];
    list.push_back({{"name", set.name},
                    {"time", comparison.day[i] * kSecondsPerDay},
                    {"date", coaching::date_from_days(comparison.day[i])},
                    {"load", coaching::format_load(set.load_kg)},
                    {"load_kg", set.load_kg ? json(*set.load_kg) : json()},
                    {"reps", std::to_string(set.full_reps)},
                    {"effort", coaching::format_effort(set.effort_rpe, set.reps_in_reserve)},
                    {"pain", coaching::format_pain(set.pain, "")},
                    {"compared", true}});
  }
  for (const coaching::LeftOutSet& left_out : comparison.left_out) {
    list[left_out.set]["compared"] = false;
    list[left_out.set]["why_not"] = coaching::say_left_out(comparison, left_out);
  }
  return list;
}

json points(const MeasureFinding& finding) {
  json list = json::array();
  for (const coaching::SetValue& value : finding.values) {
    list.push_back(
        {{"set", value.set},
         {"value", plotted(value.mean.value, finding.unit)},
         {"text", coaching::format_measured({value.mean.value, finding.error.sem, finding.unit})}});
  }
  return list;
}

/// Slope per second of the plot's time axis, through the medians as Theil–Sen has it.
json trend_line(const MeasureFinding& finding) {
  if (!finding.trend) return {};
  const coaching::TheilSen& line = finding.trend->per_day;
  const auto at = [&](const coaching::SetValue& value) {
    return plotted(line.intercept + line.slope * value.day, finding.unit);
  };
  return {{"first", at(finding.values.front())}, {"last", at(finding.values.back())}};
}

void add_judgement(const Comparison& comparison, const MeasureFinding& finding, json& measure) {
  if (!finding.change) return;
  const auto value = [&](double si) { return coaching::format_value(si, finding.unit); };
  measure["verdict"] = coaching::verdict_name(finding.change->verdict);
  measure["baseline"] = value(finding.baseline->mean.value);
  measure["latest"] = value(finding.latest->mean.value);
  measure["difference"] = coaching::format_difference(finding.change->difference, finding.unit);
  measure["mdc"] = "± " + value(finding.change->mdc95);
  measure["baseline_sets"] = coaching::say_side(comparison, *finding.baseline);
  measure["latest_sets"] = coaching::say_side(comparison, *finding.latest);
  measure["band"] = {
      {"low", plotted(finding.baseline->mean.value - finding.change->mdc95, finding.unit)},
      {"middle", plotted(finding.baseline->mean.value, finding.unit)},
      {"high", plotted(finding.baseline->mean.value + finding.change->mdc95, finding.unit)}};
}

json measure_data(const Comparison& comparison, const MeasureFinding& finding) {
  json measure = {{"name", finding.measure},
                  {"title", coaching::measure_title(finding.measure)},
                  {"unit", coaching::unit_symbol(finding.unit)},
                  {"words", coaching::say_change(finding)},
                  {"error_words", coaching::say_error(finding)},
                  {"trend_words", coaching::say_trend(finding)},
                  {"sem", plotted(finding.error.sem, finding.unit)},
                  {"points", points(finding)},
                  {"trend", trend_line(finding)}};
  const auto parsed = coaching::parse_measure_name(finding.measure);
  const auto info = parsed ? coaching::find_measure(parsed->base) : std::nullopt;
  measure["sign"] = info ? std::string(info->sign) : "";
  add_judgement(comparison, finding, measure);
  return measure;
}

bool shows_thigh_depth(const Comparison& comparison) {
  return std::any_of(comparison.findings.begin(), comparison.findings.end(),
                     [](const MeasureFinding& f) { return f.measure.starts_with("thigh_depth"); });
}

json page_data(const ComparePageInput& input) {
  const Comparison& comparison = input.comparison;
  json data = {{"heading", input.movement.title + ", set against set"},
               {"facts", header(comparison)},
               {"pain", coaching::say_pain(comparison.sets.back().pain)},
               {"sets", set_list(comparison)},
               {"chance", coaching::say_chance(comparison)},
               {"measures", json::array()},
               {"missing", json::array()},
               {"cautions", input.movement.cautions},
               {"depth_note", shows_thigh_depth(comparison) ? coaching::thigh_depth_note() : ""}};
  for (const MeasureFinding& finding : comparison.findings) {
    data["measures"].push_back(measure_data(comparison, finding));
  }
  for (const coaching::MissingMeasure& missing : comparison.missing) {
    data["missing"].push_back(coaching::say_missing(missing));
  }
  return data;
}

}  // namespace

std::string compare_page(const ComparePageInput& input) {
  return fill_template("compare.html", "compare.js",
                       input.movement.title + " – " + input.comparison.sets.back().client,
                       page_data(input));
}

}  // namespace strapline::pages
