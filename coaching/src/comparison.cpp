#include "strapline/coaching/comparison.hpp"

#include <algorithm>
#include <map>
#include <numeric>

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

/// A measure's values over the like sets, in time order; none where only the latest set names it.
struct MeasureValues {
  dsp::Unit unit = dsp::Unit::one;
  std::vector<LoadedValue> values;
};

using ValuesByMeasure = std::map<std::string, MeasureValues>;

/// Goes through a set's measures and the measures so far side by side: both are in order of name.
dsp::Result<void> add_set(const Comparison& comparison, std::size_t index,
                          const ErrorParameters& error, ValuesByMeasure& all) {
  const ComparedSet& set = comparison.sets[index];
  auto at = all.begin();
  for (const auto& [name, reps] : set.measures) {
    while (at != all.end() && at->first < name) ++at;
    if (at == all.end() || at->first != name) {
      at = all.emplace_hint(at, name, MeasureValues{reps.unit, {}});
    }
    if (reps.unit != at->second.unit) {
      return dsp::fail("'" + name + "' has another unit than in earlier sets", set.name,
                       "rebuild its results from the recording");
    }
    const SetValue value{index, comparison.day[index], set_mean(reps, error)};
    at->second.values.push_back({value, set.load_kg});
  }
  return {};
}

dsp::Result<ValuesByMeasure> values_by_measure(const Comparison& comparison,
                                               const std::vector<std::size_t>& like,
                                               const ErrorParameters& error) {
  ValuesByMeasure all;
  for (const std::size_t index : like) {
    const auto added = add_set(comparison, index, error, all);
    if (!added) return tl::make_unexpected(added.error());
  }
  for (const auto& [name, reason] : comparison.sets.back().not_measured) all[name];
  return all;
}

std::vector<std::string> in_order_shown(const ValuesByMeasure& all) {
  std::vector<std::string> names;
  for (const auto& [name, values] : all) names.push_back(name);
  std::stable_sort(names.begin(), names.end(), shown_before);
  return names;
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
  std::vector<double> day;
  std::vector<double> value;
  for (const DailyValue& of_day : daily_values(values)) {
    day.push_back(of_day.day);
    value.push_back(of_day.value);
  }
  if (static_cast<int>(day.size()) < options.least_days_for_trend) return;
  const auto line = theil_sen(day, value);
  const auto test = mann_kendall(day, value);
  if (!line || !test) return;
  finding.trend = Trend{static_cast<int>(values.size()), static_cast<int>(day.size()), *line, *test,
                        values.front().load_kg,          values.back().load_kg};
}

MeasureFinding find(const std::string& measure, const MeasureValues& of_measure,
                    std::size_t latest_set, const CompareOptions& options) {
  MeasureFinding finding;
  finding.measure = measure;
  finding.unit = of_measure.unit;
  finding.smallest_that_matters = smallest_for(measure, options);
  for (const LoadedValue& value : of_measure.values) finding.values.push_back(value.value);
  judge(of_measure.values, latest_set, options, finding);
  find_trend(of_measure.values, options, finding);
  return finding;
}

void note_missing(const std::string& measure, Comparison& comparison) {
  const ComparedSet& latest = comparison.sets.back();
  if (latest.measures.contains(measure)) return;
  const auto reason = latest.not_measured.find(measure);
  const bool given = reason != latest.not_measured.end();
  comparison.missing.push_back({measure, given ? reason->second : ""});
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
  const auto all = values_by_measure(comparison, like, options.error);
  if (!all) return tl::make_unexpected(all.error());
  for (const std::string& name : in_order_shown(*all)) {
    note_missing(name, comparison);
    const MeasureValues& of_measure = all->at(name);
    if (!of_measure.values.empty()) {
      comparison.findings.push_back(find(name, of_measure, comparison.sets.size() - 1, options));
    }
  }
  return comparison;
}

}  // namespace strapline::coaching
