#include "strapline/coaching/set_listing.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/wording.hpp"

namespace strapline::coaching {
namespace {

/// A share reads better in hundredths.
std::string shown(double si, dsp::Unit unit) {
  constexpr double kPercent = 100.0;
  return unit == dsp::Unit::one ? fmt::format("{:.0f} %", kPercent * si) : format_value(si, unit);
}

/// "4, 3 and 3".
std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

}  // namespace

std::vector<SetFigure> set_figures(const dsp::MeasureMap& measures) {
  std::vector<SetFigure> figures;
  for (const auto& [name, measure] : measures) {
    const auto* value = std::get_if<dsp::MeasuredValue>(&measure);
    if (value == nullptr) continue;
    figures.push_back({name, measure_title(name), shown(value->value, value->unit),
                       "± " + shown(value->u, value->unit)});
  }
  std::stable_sort(figures.begin(), figures.end(), [](const SetFigure& a, const SetFigure& b) {
    return shown_before(a.name, b.name);
  });
  return figures;
}

std::string say_clusters(const std::vector<dsp::RepCluster>& clusters) {
  if (clusters.size() < 2) return {};
  std::vector<std::string> reps, pauses;
  for (const dsp::RepCluster& cluster : clusters) {
    reps.push_back(std::to_string(cluster.count));
    if (&cluster != &clusters.front()) pauses.push_back(fmt::format("{:.0f} s", cluster.pause_s));
  }
  return fmt::format("{} clusters: {} reps, with {} of {}", clusters.size(), listed(reps),
                     pauses.size() == 1 ? "a pause" : "pauses", listed(pauses));
}

std::vector<int> cluster_numbers(const dsp::SetAnalysis& analysis) {
  std::vector<int> numbers(analysis.reps.size(), 1);
  int number = 0;
  for (const dsp::RepCluster& cluster : analysis.clusters) {
    ++number;
    for (std::size_t k = cluster.first; k < cluster.first + cluster.count; ++k) {
      numbers.at(k) = number;
    }
  }
  return numbers;
}

}  // namespace strapline::coaching
