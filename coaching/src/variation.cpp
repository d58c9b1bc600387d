#include "strapline/coaching/variation.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "strapline/coaching/rep_listing.hpp"

namespace strapline::coaching {
namespace {

/// Mean over the full reps and both sides, with its standard uncertainty.
using Means = std::map<std::string, dsp::MeasuredValue>;

/// "elbow_flare" of "elbow_flare_left"; "knee_line_distance_at_turn" keeps its statistic.
std::string unsided(const std::string& name) {
  for (const dsp::Side side : {dsp::Side::left, dsp::Side::right}) {
    const std::string suffix = dsp::side_suffix(side);
    if (name.ends_with(suffix)) return name.substr(0, name.size() - suffix.size());
  }
  return name;
}

std::optional<dsp::MeasuredValue> mean_of(const std::vector<const dsp::MeasuredValue*>& values) {
  if (values.empty()) return std::nullopt;
  const auto n = static_cast<double>(values.size());
  dsp::MeasuredValue mean{0.0, 0.0, values.front()->unit};
  double shared = 0.0;  // the reps share their alignment: u does not shrink with their number
  for (const auto* v : values) {
    mean.value += v->value / n;
    shared += v->u * v->u / n;
  }
  double squares = 0.0;
  for (const auto* v : values) squares += (v->value - mean.value) * (v->value - mean.value);
  const double scatter = n > 1.0 ? squares / (n - 1.0) / n : 0.0;
  mean.u = std::sqrt(shared + scatter);
  return mean;
}

Means means_of(const JudgedSet& set) {
  std::map<std::string, std::vector<const dsp::MeasuredValue*>> values;
  for (const dsp::Rep& rep : set.reps) {
    if (rep.part) continue;
    for (const auto& [name, measure] : rep.measures) {
      const auto* value = measured(rep, name);
      if (value != nullptr) values[unsided(name)].push_back(value);
    }
  }
  Means means;
  for (const auto& [name, all] : values) {
    if (const auto mean = mean_of(all)) means[name] = *mean;
  }
  return means;
}

double normal_cdf(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

/// Density of the value under "evenly within the band", blurred. An open end reaches half of the
/// natural width from the other.
double density_in(const Band& band, const dsp::MeasuredValue& value) {
  const double open = 0.5 * natural_width(value.unit);
  const double low = band.low.value_or(band.high.value_or(0.0) - open);
  const double high = band.high.value_or(low + open);
  const double blur = std::hypot(value.u, default_difference(value.unit));
  const double width = std::max(high - low, 1e-3 * natural_width(value.unit));
  const double inside =
      normal_cdf((high - value.value) / blur) - normal_cdf((low - value.value) / blur);
  return inside / width;
}

/// How much more (log) probable the set's values are under the aim than under none.
VariationFit fit_of(const Aim& aim, const JudgedSet& set, const Means& means, double& log_ratio) {
  constexpr double kLeast = 1e-12;  // nothing is impossible: an aim can be missed by far
  VariationFit fit{aim.name, aim.title, 0.0, {}};
  log_ratio = 0.0;
  for (const AimBand& band : aim.bands) {
    const std::string name = unsided(band.measure);
    const auto found = means.find(name);
    const auto edges = edges_at(band, set.with);
    if (found == means.end() || !edges) continue;
    fit.measures.push_back(name);
    const double any = 1.0 / natural_width(found->second.unit);
    log_ratio += std::log(std::max(density_in(*edges, found->second) / any, kLeast));
  }
  return fit;
}

std::string percent(const VariationFit& fit) {
  return fmt::format("{} ({:.0f} %)", fit.aim.empty() ? "none of them" : fit.title,
                     100.0 * fit.probability);
}

}  // namespace

double natural_width(dsp::Unit unit) {
  switch (unit) {
    case dsp::Unit::radian:
      return std::numbers::pi / 2.0;
    case dsp::Unit::metre:
      return 0.3;
    case dsp::Unit::second:
      return 6.0;
    case dsp::Unit::metre_per_second:
    case dsp::Unit::one:
      break;
  }
  return 1.0;
}

VariationGuess nearest_variation(const std::vector<Aim>& aims, const JudgedSet& set) {
  const Means means = means_of(set);
  VariationGuess guess;
  std::vector<double> weights;
  for (const Aim& aim : aims) {
    if (aim.movement != set.movement) continue;
    double log_ratio = 0.0;
    VariationFit fit = fit_of(aim, set, means, log_ratio);
    if (fit.measures.empty()) continue;
    weights.push_back(std::exp(std::min(log_ratio, 700.0)));
    guess.fits.push_back(std::move(fit));
  }
  if (guess.fits.empty()) return guess;
  guess.fits.push_back({"", "", 0.0, {}});
  weights.push_back(1.0);
  double sum = 0.0;
  for (const double w : weights) sum += w;
  for (std::size_t k = 0; k < weights.size(); ++k) guess.fits[k].probability = weights[k] / sum;
  std::stable_sort(guess.fits.begin(), guess.fits.end(),
                   [](const auto& a, const auto& b) { return a.probability > b.probability; });
  const VariationFit& first = guess.fits.front();
  guess.told = !first.aim.empty() && first.probability >= kSureEnough;
  return guess;
}

std::string say_variation(const VariationGuess& guess) {
  if (guess.fits.empty())
    return "Which variation this was cannot be told: no aim of this movement has a measured band.";
  const VariationFit& first = guess.fits.front();
  if (guess.told) return "Nearest of the aims: " + percent(first) + ".";
  if (first.aim.empty()) {
    return "Which variation this was cannot be told: it is near none of the aims (nearest: " +
           percent(guess.fits.at(1)) + ").";
  }
  return "Which variation this was cannot be told: " + percent(first) + " or " +
         percent(guess.fits.at(1)) + ".";
}

}  // namespace strapline::coaching
