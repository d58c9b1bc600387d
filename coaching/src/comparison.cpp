#include "strapline/coaching/comparison.hpp"

#include <algorithm>
#include <numeric>
#include <set>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/measure_catalogue.hpp"

#include "compared_sides.hpp"

namespace strapline::coaching {
namespace {

std::vector<Unlike> differences(const ComparedSet& set, const ComparedSet& reference) {
  std::vector<Unlike> differs_in;
  if (set.movement != reference.movement) differs_in.push_back(Unlike::movement);
  if (set.variation != reference.variation) differs_in.push_back(Unlike::variation);
  if (set.kit != reference.kit) differs_in.push_back(Unlike::kit);
  return differs_in;
}

/// Sorts the sets by time and dates them.
dsp::Result<void> put_in_order(Comparison& comparison) {
  std::vector<double> day;
  for (const ComparedSet& set : comparison.sets) {
    const auto read = days_from_utc(set.started_utc);
    if (!read) return dsp::fail(read.error().what, set.name, read.error().todo);
    day.push_back(*read);
  }
  std::vector<std::size_t> order(day.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return day[a] < day[b]; });
  std::vector<ComparedSet> sets;
  for (const std::size_t index : order) {
    sets.push_back(std::move(comparison.sets[index]));
    comparison.day.push_back(day[index]);
  }
  comparison.sets = std::move(sets);
  return {};
}

dsp::Result<void> check_one_client(const std::vector<ComparedSet>& sets) {
  for (const ComparedSet& set : sets) {
    if (set.client != sets.front().client) {
      return dsp::fail("sets of '" + sets.front().client + "' and '" + set.client + "'", set.name,
                       "compare the sets of one client at a time");
    }
  }
  return {};
}

/// Indices of the sets that are like the latest; notes the others.
std::vector<std::size_t> like_sets(Comparison& comparison) {
  std::vector<std::size_t> like;
  for (std::size_t i = 0; i < comparison.sets.size(); ++i) {
    auto differs_in = differences(comparison.sets[i], comparison.sets.back());
    if (differs_in.empty()) {
      like.push_back(i);
    } else {
      comparison.left_out.push_back({i, std::move(differs_in)});
    }
  }
  return like;
}

std::vector<std::string> measure_names(const Comparison& comparison,
                                       const std::vector<std::size_t>& like) {
  std::set<std::string> names;
  for (const std::size_t index : like) {
    for (const dsp::MeasureMap& rep : comparison.sets[index].full_reps) {
      for (const auto& [name, measure] : rep) names.insert(name);
    }
  }
  std::vector<std::string> shown(names.begin(), names.end());
  std::stable_sort(shown.begin(), shown.end(), shown_before);
  return shown;
}

/// What one set says of a measure: the reps that measured it, and why others did not.
struct SetReading {
  std::vector<dsp::MeasuredValue> measured;
  std::string reason;
};

SetReading read_set(const ComparedSet& set, const std::string& measure) {
  SetReading reading;
  for (const dsp::MeasureMap& rep : set.full_reps) {
    const auto found = rep.find(measure);
    if (found == rep.end()) continue;
    if (const auto* value = std::get_if<dsp::MeasuredValue>(&found->second)) {
      reading.measured.push_back(*value);
    } else if (reading.reason.empty()) {
      reading.reason = std::get<dsp::NotMeasured>(found->second).reason;
    }
  }
  return reading;
}

dsp::Result<std::vector<LoadedValue>> read_values(const Comparison& comparison,
                                                  const std::vector<std::size_t>& like,
                                                  const CompareOptions& options,
                                                  MeasureFinding& finding) {
  std::vector<LoadedValue> values;
  for (const std::size_t index : like) {
    const ComparedSet& set = comparison.sets[index];
    const SetReading reading = read_set(set, finding.measure);
    if (reading.measured.empty()) continue;
    if (values.empty()) finding.unit = reading.measured.front().unit;
    for (const dsp::MeasuredValue& value : reading.measured) {
      if (value.unit == finding.unit) continue;
      return dsp::fail("'" + finding.measure + "' has another unit than in earlier sets", set.name,
                       "rebuild its results from the recording");
    }
    const SetValue value{index, comparison.day[index], set_mean(reading.measured, options.error)};
    values.push_back({value, set.load_kg});
    finding.values.push_back(value);
  }
  return values;
}

/// Judges only where the latest set measured it: an older set is not passed off as the latest.
void judge(const std::vector<LoadedValue>& values, std::size_t latest_set,
           const CompareOptions& options, MeasureFinding& finding) {
  const auto sides = choose_sides(values, options.error);
  std::vector<double> stated;
  for (const LoadedValue& value : values) stated.push_back(value.value.mean.stated_error);
  finding.error = error_basis(repeat_groups(values, options.error), stated,
                              options.error.restrapping(finding.unit), options.error);
  if (!sides || values.back().value.set != latest_set) return;
  finding.baseline = sides->baseline;
  finding.latest = sides->latest;
  finding.change = judge_change(sides->baseline.mean, sides->latest.mean, finding.error,
                                finding.smallest_that_matters);
}

void find_trend(const std::vector<LoadedValue>& values, const CompareOptions& options,
                MeasureFinding& finding) {
  if (static_cast<int>(values.size()) < options.least_sets_for_trend) return;
  std::vector<double> day;
  std::vector<double> value;
  for (const LoadedValue& of_set : values) {
    day.push_back(of_set.value.day);
    value.push_back(of_set.value.mean.value);
  }
  const auto line = theil_sen(day, value);
  const auto test = mann_kendall(day, value);
  if (!line || !test) return;  // all at one instant: no trend to speak of
  finding.trend = Trend{static_cast<int>(values.size()), *line, *test, values.front().load_kg,
                        values.back().load_kg};
}

}  // namespace

std::optional<double> smallest_for(const std::string& measure, const CompareOptions& options) {
  const auto& given = options.smallest_that_matters;
  if (const auto full = given.find(measure); full != given.end()) return full->second;
  const auto name = parse_measure_name(measure);
  if (!name) return std::nullopt;
  const auto base = given.find(name->base);
  return base == given.end() ? std::nullopt : std::optional(base->second);
}

dsp::Result<Comparison> compare_sets(std::vector<ComparedSet> sets, const CompareOptions& options) {
  if (sets.empty()) return dsp::fail("no sets to compare", "", "record or import a set first");
  if (const auto one = check_one_client(sets); !one) return tl::make_unexpected(one.error());
  Comparison comparison;
  comparison.sets = std::move(sets);
  if (const auto dated = put_in_order(comparison); !dated) {
    return tl::make_unexpected(dated.error());
  }
  const std::vector<std::size_t> like = like_sets(comparison);
  for (const std::string& name : measure_names(comparison, like)) {
    MeasureFinding finding;
    finding.measure = name;
    finding.smallest_that_matters = smallest_for(name, options);
    const auto values = read_values(comparison, like, options, finding);
    if (!values) return tl::make_unexpected(values.error());
    const SetReading last = read_set(comparison.sets.back(), name);
    if (last.measured.empty()) comparison.missing.push_back({name, last.reason});
    if (values->empty()) continue;
    judge(*values, comparison.sets.size() - 1, options, finding);
    find_trend(*values, options, finding);
    comparison.findings.push_back(std::move(finding));
  }
  return comparison;
}

}  // namespace strapline::coaching
