#include "within_set_table.hpp"

#include <cmath>

#include <nlohmann/json.hpp>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_within_set.hpp"

#include "text_table.hpp"

namespace strapline::cli {
namespace {

using coaching::WithinSetFinding;
using Align = TextTable::Align;
using SayVerdict = std::string (*)(coaching::Verdict);
using nlohmann::ordered_json;

std::string reps_of(const WithinSetFinding& finding) {
  return finding.first_reps == finding.second_reps
             ? std::to_string(finding.first_reps)
             : std::to_string(finding.first_reps) + ", " + std::to_string(finding.second_reps);
}

std::string table_of(const std::vector<WithinSetFinding>& findings, const std::string& first,
                     const std::string& second, SayVerdict verdict) {
  if (findings.empty()) return {};
  TextTable table;
  table.add_column("measure", Align::left);
  for (const std::string& head : {first, second, std::string("differs\nby"),
                                  std::string("noise\n95 %"), std::string("reps\neach")}) {
    table.add_column(head, Align::right);
  }
  table.add_column("verdict", Align::left);
  for (const WithinSetFinding& finding : findings) {
    // The table of the sides tells it; a third of a table more would not fit the page.
    if (finding.measure.ends_with("_difference")) continue;
    const auto value = [&](double si) { return coaching::format_value(si, finding.unit); };
    table.add_row({coaching::measure_title(finding.measure), value(finding.first),
                   value(finding.second),
                   coaching::format_difference(finding.change.difference, finding.unit),
                   value(finding.change.mdc95), reps_of(finding), verdict(finding.change.verdict)});
  }
  return "\n" + table.text(kTextWidth) + "\n" +
         paragraph("", coaching::say_chance_within(findings), kTextWidth);
}

ordered_json finding_json(const WithinSetFinding& finding, const char* first, const char* second,
                          SayVerdict verdict) {
  const double factor = dsp::display_factor(finding.unit);
  const bool finite = std::isfinite(finding.degrees_of_freedom);
  const auto& matters = finding.smallest_that_matters;
  ordered_json json;
  json["measure"] = finding.measure;
  json["unit"] = dsp::display_unit(finding.unit);
  json["verdict"] = verdict(finding.change.verdict);
  json[first] = {{"value", finding.first * factor}, {"reps", finding.first_reps}};
  json[second] = {{"value", finding.second * factor}, {"reps", finding.second_reps}};
  json["difference"] = finding.change.difference * factor;
  json["interval95"] = {finding.change.low * factor, finding.change.high * factor};
  json["standard_error"] = finding.standard_error * factor;
  json["degrees_of_freedom"] = finite ? ordered_json(finding.degrees_of_freedom) : ordered_json();
  json["smallest_that_matters"] = matters ? ordered_json(*matters * factor) : ordered_json();
  return json;
}

}  // namespace

std::string within_set_table(const coaching::WithinSet& within, const std::string& title) {
  std::string text = "\n" + title + "\n\n";
  text += paragraph("", coaching::say_thirds(within), kTextWidth);
  text += table_of(within.thirds, "first\nthird", "last\nthird", coaching::thirds_verdict);
  if (within.sides.empty()) return text;
  text += "\n" + paragraph("", std::string(coaching::say_sides()), kTextWidth);
  return text + table_of(within.sides, "left", "right", coaching::sides_verdict);
}

ordered_json within_set_json(const coaching::WithinSet& within) {
  ordered_json json;
  json["full_reps"] = within.full_reps;
  json["thirds"] = ordered_json::array();
  for (const WithinSetFinding& finding : within.thirds) {
    json["thirds"].push_back(finding_json(finding, "first", "last", coaching::thirds_verdict));
  }
  json["thirds_in_words"] = coaching::say_thirds(within);
  json["sides"] = ordered_json::array();
  for (const WithinSetFinding& finding : within.sides) {
    json["sides"].push_back(finding_json(finding, "left", "right", coaching::sides_verdict));
  }
  return json;
}

}  // namespace strapline::cli
