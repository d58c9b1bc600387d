#include "review_table.hpp"

#include <string>
#include <vector>

#include "strapline/coaching/change.hpp"
#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/rep_listing.hpp"
#include "strapline/coaching/set_listing.hpp"
#include "strapline/coaching/wording.hpp"

namespace strapline::pages {
namespace {

using nlohmann::json;

json cell(const dsp::MeasuredValue& value) {
  return {{"value", coaching::format_value(value.value, value.unit)},
          {"u", "± " + coaching::format_value(value.u, value.unit)}};
}

/// Mean and spread of the full reps; nothing is added for wearing the straps anew, because one set
/// is worn once.
void add_set_cells(const std::vector<dsp::MeasuredValue>& full_reps, json& row) {
  if (full_reps.empty()) return;
  coaching::ErrorParameters worn_once;
  worn_once.restrapping_rad = worn_once.restrapping_m = 0.0;
  worn_once.restrapping_s = worn_once.restrapping_m_per_s = 0.0;
  const coaching::SetMean mean = coaching::set_mean(coaching::summarise_reps(full_reps), worn_once);
  const dsp::Unit unit = full_reps.front().unit;
  row["mean"] = cell({mean.value, mean.stated_error, unit});
  if (mean.reps > 1) row["spread"] = coaching::format_value(mean.within_sd, unit);
}

/// The rep table shows it already.
bool is_spread_of_reps(const std::string& name) {
  const auto parsed = coaching::parse_measure_name(name);
  return parsed && (parsed->statistic == "sd" || parsed->statistic.ends_with("_sd")) &&
         !parsed->statistic.ends_with("curve_sd");
}

json row_of(const dsp::SetAnalysis& analysis, const std::string& name) {
  json row = {{"name", name}, {"title", coaching::measure_title(name)}, {"cells", json::array()}};
  if (const auto parsed = coaching::parse_measure_name(name)) {
    const auto info = coaching::find_measure(parsed->base);
    row["per_rep"] = parsed->statistic.empty() ? std::string(info->per_rep) : "";
    row["sign"] = std::string(info->sign);
  }
  std::vector<dsp::MeasuredValue> full_reps;
  bool any = false;
  for (const dsp::Rep& rep : analysis.reps) {
    const dsp::MeasuredValue* value = coaching::measured(rep, name);
    row["cells"].push_back(value == nullptr ? json() : cell(*value));
    if (value == nullptr) continue;
    any = true;
    if (!rep.part) full_reps.push_back(*value);
  }
  add_set_cells(full_reps, row);
  return any ? row : json();
}

}  // namespace

json rep_list(const dsp::SetAnalysis& analysis) {
  json list = json::array();
  const std::vector<std::string> labels = coaching::rep_labels(analysis.reps);
  for (std::size_t i = 0; i < analysis.reps.size(); ++i) {
    const dsp::Rep& rep = analysis.reps[i];
    list.push_back({{"label", labels[i]},
                    {"part", rep.part},
                    {"start_s", rep.start_s},
                    {"turn_in_s", rep.turn_in_s},
                    {"turn_out_s", rep.turn_out_s},
                    {"end_s", rep.end_s}});
  }
  return list;
}

json measure_rows(const dsp::SetAnalysis& analysis) {
  json rows = json::array();
  for (const std::string& name : coaching::measure_names(analysis.reps)) {
    json row = row_of(analysis, name);
    if (!row.is_null()) rows.push_back(std::move(row));
  }
  return rows;
}

json set_rows(const dsp::SetAnalysis& analysis) {
  json rows = json::array();
  for (const coaching::SetFigure& figure : coaching::set_figures(analysis.measures)) {
    if (is_spread_of_reps(figure.name)) continue;
    rows.push_back(
        {{"name", figure.name}, {"title", figure.title}, {"value", figure.value}, {"u", figure.u}});
  }
  return rows;
}

json not_measured(const dsp::SetAnalysis& analysis) {
  json result = json::array();
  for (const auto& group : coaching::not_measured(analysis.reps)) {
    result.push_back({{"reason", group.reason}, {"measures", group.measures}});
  }
  return result;
}

}  // namespace strapline::pages
