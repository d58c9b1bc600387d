#include "strapline/coaching/within_set.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "strapline/coaching/measure_catalogue.hpp"
#include "strapline/coaching/quantiles.hpp"

namespace strapline::coaching {
namespace {

using Values = std::vector<dsp::MeasuredValue>;

const dsp::MeasuredValue* measured(const dsp::MeasureMap& rep, const std::string& name) {
  const auto found = rep.find(name);
  return found == rep.end() ? nullptr : std::get_if<dsp::MeasuredValue>(&found->second);
}

Values values_of(const std::vector<dsp::MeasureMap>& reps, const std::string& name) {
  Values values;
  for (const dsp::MeasureMap& rep : reps) {
    if (const auto* value = measured(rep, name)) values.push_back(*value);
  }
  return values;
}

struct Sample {
  int n = 0;
  double mean = 0.0;
  double variance = 0.0;  ///< n − 1
  double mean_square_u = 0.0;
};

Sample sample_of(const Values& values) {
  Sample sample;
  sample.n = static_cast<int>(values.size());
  for (const auto& value : values) {
    sample.mean += value.value / sample.n;
    sample.mean_square_u += value.u * value.u / sample.n;
  }
  for (const auto& value : values) {
    sample.variance += (value.value - sample.mean) * (value.value - sample.mean) / (sample.n - 1);
  }
  return sample;
}

void judge(double difference, const std::string& full_name, const CompareOptions& options,
           WithinSetFinding& finding) {
  finding.smallest_that_matters = smallest_for(full_name, options);
  const double reach =
      student_t_quantile(0.975, finding.degrees_of_freedom) * finding.standard_error;
  Change& change = finding.change;
  change.difference = difference;
  change.mdc95 = reach;
  change.low = difference - reach;
  change.high = difference + reach;
  const auto& smallest = finding.smallest_that_matters;
  const bool within = smallest && std::abs(difference) + reach < *smallest;
  if (std::abs(difference) > reach) {
    change.verdict = Verdict::changed;
    change.smaller_than_matters = within;
  } else if (within) {
    change.verdict = Verdict::unchanged;
  }
}

std::optional<WithinSetFinding> compare_thirds(const std::string& name, const Values& values,
                                               const CompareOptions& options) {
  if (static_cast<int>(values.size()) < kLeastRepsForThirds) return std::nullopt;
  const auto third = static_cast<std::ptrdiff_t>(values.size() / 3);
  const Sample first = sample_of({values.begin(), values.begin() + third});
  const Sample last = sample_of({values.end() - third, values.end()});
  WithinSetFinding finding;
  finding.measure = name;
  finding.unit = values.front().unit;
  finding.first = first.mean;
  finding.second = last.mean;
  finding.first_reps = finding.second_reps = first.n;
  finding.standard_error = std::sqrt((first.variance + last.variance) / first.n);
  finding.degrees_of_freedom = 2.0 * (first.n - 1);
  judge(last.mean - first.mean, name, options, finding);
  return finding;
}

/// A part of the squared error that was itself estimated.
struct Part {
  double square = 0.0;
  double degrees_of_freedom = 0.0;
};

void set_error(const std::vector<Part>& parts, double square_u, WithinSetFinding& finding) {
  double square = square_u;
  double weight = 0.0;
  for (const Part& part : parts) {
    square += part.square;
    weight += part.square * part.square / part.degrees_of_freedom;
  }
  finding.standard_error = std::sqrt(square);
  finding.degrees_of_freedom =
      weight > 0.0 ? square * square / weight : std::numeric_limits<double>::infinity();
}

/// The reps that measured both sides, as left and right; empty where they are fewer than two.
std::pair<Values, Values> pairs_of(const std::vector<dsp::MeasureMap>& reps,
                                   const std::string& left, const std::string& right) {
  std::pair<Values, Values> pairs;
  for (const dsp::MeasureMap& rep : reps) {
    const auto* of_left = measured(rep, left);
    const auto* of_right = measured(rep, right);
    if (of_left == nullptr || of_right == nullptr) continue;
    pairs.first.push_back(*of_left);
    pairs.second.push_back(*of_right);
  }
  return pairs.first.size() >= 2 ? pairs : std::pair<Values, Values>();
}

Values differences(const Values& left, const Values& right) {
  Values differences = left;
  for (std::size_t i = 0; i < right.size(); ++i) differences[i].value -= right[i].value;
  return differences;
}

std::optional<WithinSetFinding> compare_sides(const std::vector<dsp::MeasureMap>& reps,
                                              const std::string& base,
                                              const CompareOptions& options) {
  const std::string left_name = base + "_left", right_name = base + "_right";
  auto [left, right] = pairs_of(reps, left_name, right_name);
  const bool paired = !left.empty();
  if (!paired) {
    left = values_of(reps, left_name);
    right = values_of(reps, right_name);
  }
  if (left.size() < 2 || right.size() < 2 || left.front().unit != right.front().unit) {
    return std::nullopt;
  }
  const Sample l = sample_of(left), r = sample_of(right);
  WithinSetFinding finding{base, left.front().unit, l.mean, r.mean, l.n, r.n, 0.0, 0.0, {}, {}};
  const double square_u = l.mean_square_u + r.mean_square_u;
  if (paired) {
    const Sample d = sample_of(differences(left, right));
    set_error({{d.variance / d.n, d.n - 1.0}}, square_u, finding);
  } else {
    set_error({{l.variance / l.n, l.n - 1.0}, {r.variance / r.n, r.n - 1.0}}, square_u, finding);
  }
  judge(l.mean - r.mean, left_name, options, finding);
  return finding;
}

std::vector<std::string> names_in(const std::vector<dsp::MeasureMap>& reps) {
  std::set<std::string> names;
  for (const dsp::MeasureMap& rep : reps) {
    for (const auto& [name, measure] : rep) names.insert(name);
  }
  std::vector<std::string> shown(names.begin(), names.end());
  std::stable_sort(shown.begin(), shown.end(), shown_before);
  return shown;
}

}  // namespace

WithinSet compare_within_set(const std::vector<dsp::MeasureMap>& full_reps,
                             const CompareOptions& options) {
  constexpr std::string_view kLeft = "_left";
  WithinSet within;
  within.full_reps = static_cast<int>(full_reps.size());
  for (const std::string& name : names_in(full_reps)) {
    if (auto thirds = compare_thirds(name, values_of(full_reps, name), options)) {
      within.thirds.push_back(std::move(*thirds));
    }
    if (!name.ends_with(kLeft)) continue;
    const std::string base = name.substr(0, name.size() - kLeft.size());
    if (auto sides = compare_sides(full_reps, base, options)) {
      within.sides.push_back(std::move(*sides));
    }
  }
  return within;
}

}  // namespace strapline::coaching
