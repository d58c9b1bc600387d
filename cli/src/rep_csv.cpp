#include "rep_csv.hpp"

#include <fmt/format.h>

#include "strapline/coaching/set_listing.hpp"

namespace strapline::cli {
namespace {

/// As a cell: quoted where it holds what would end it.
std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"\n") == std::string::npos) return text;
  std::string cell = "\"";
  for (const char c : text) cell += c == '"' ? std::string("\"\"") : std::string(1, c);
  return cell + "\"";
}

std::string measure_cells(const std::string& name, const dsp::Measure& measure) {
  if (const auto* missing = std::get_if<dsp::NotMeasured>(&measure)) {
    return fmt::format("{},,,,{}\n", name, quoted(missing->reason));
  }
  const dsp::DisplayValue shown = dsp::to_display(std::get<dsp::MeasuredValue>(measure));
  return fmt::format("{},{:.9g},{:.9g},{},\n", name, shown.value, shown.u, shown.unit);
}

}  // namespace

std::string rep_csv(const dsp::SetAnalysis& analysis) {
  std::string text = "rep,part,side,cluster,start_s,end_s,measure,value,u,unit,not_measured\n";
  const std::vector<int> clusters = coaching::cluster_numbers(analysis);
  for (std::size_t k = 0; k < analysis.reps.size(); ++k) {
    const dsp::Rep& rep = analysis.reps[k];
    const std::string head =
        fmt::format("{},{},{},{},{:.3f},{:.3f},", k + 1, rep.part ? 1 : 0, dsp::side_name(rep.side),
                    clusters[k], rep.start_s, rep.end_s);
    for (const auto& [name, measure] : rep.measures) text += head + measure_cells(name, measure);
  }
  for (const auto& [name, measure] : analysis.measures) {
    text += ",,,,,," + measure_cells(name, measure);
  }
  return text;
}

}  // namespace strapline::cli
