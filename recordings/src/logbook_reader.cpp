#include "logbook_reader.hpp"

#include <cmath>
#include <string_view>

#include "file_format.hpp"
#include "hdf5/group.hpp"
#include "logbook_rows.hpp"
#include "measure_table.hpp"

namespace strapline::recordings {
namespace {

std::optional<double> entered(double value) {
  return std::isnan(value) ? std::nullopt : std::optional(value);
}

std::vector<LoggedSet> read_sets(const TableReader& table) {
  const auto id = table.texts("set_id"), file = table.texts("file");
  const auto source = table.texts("source"), algorithm = table.texts("algorithm");
  const auto started = table.texts("started_utc"), movement = table.texts("movement");
  const auto variation = table.texts("variation"), kit = table.texts("kit");
  const auto place = table.texts("pain_place"), notes = table.texts("notes");
  const auto load = table.reals("load", "kg"), effort = table.reals("effort_rpe", "1");
  const auto reserve = table.reals("reps_in_reserve", "1");
  const auto pain = table.reals("pain_0_to_10", "1");
  const auto full = table.wholes("full_reps"), part = table.wholes("part_reps");
  std::vector<LoggedSet> sets(table.table_rows());
  for (std::size_t i = 0; i < sets.size(); ++i) {
    LoggedSet& set = sets[i];
    set.set_id = id[i];
    set.file = file[i];
    set.source = source[i];
    set.algorithm = algorithm[i];
    set.description.movement = movement[i];
    set.description.variation = variation[i];
    set.description.kit = kit[i];
    set.description.started_utc = started[i];
    set.description.load_kg = entered(load[i]);
    set.description.effort_rpe = entered(effort[i]);
    set.description.reps_in_reserve = entered(reserve[i]);
    set.description.pain = entered(pain[i]);
    set.description.pain_place = place[i];
    set.description.notes = notes[i];
    set.full_reps = static_cast<int>(full[i]);
    set.part_reps = static_cast<int>(part[i]);
  }
  return sets;
}

/// Units by their spelling: rows repeat a few of them.
class Units {
 public:
  explicit Units(std::string where) : where_(std::move(where)) {}
  dsp::Unit operator()(std::string_view text) {
    for (const auto& [known, unit] : known_) {
      if (known == text) return unit;
    }
    return known_.emplace_back(text, unit_from_si(std::string(text), where_)).second;
  }

 private:
  std::string where_;
  std::vector<std::pair<std::string, dsp::Unit>> known_;
};

void read_summaries(const SetRows& rows, std::vector<LoggedSet>& sets) {
  const TableReader& table = rows.table();
  const auto measure = table.texts("measure"), unit = table.texts("unit");
  const auto n = table.wholes("n");
  const auto median = table.reals("median", {}), mean = table.reals("mean", {});
  const auto sd = table.reals("sd", {}), u = table.reals("u", {});
  Units unit_of(table.path("unit"));
  for (const SetRows::Run& run : rows.runs()) {
    auto& measures = sets[run.set].measures;
    for (std::size_t i = run.first; i < run.first + run.count; ++i) {
      // They are stored in the order of the map.
      measures.insert_or_assign(measures.end(), std::string(measure[i]),
                                MeasureSummary{static_cast<int>(n[i]), median[i], mean[i],
                                               entered(sd[i]), u[i], unit_of(unit[i])});
    }
  }
}

void read_reps(const SetRows& rows, std::vector<LoggedSet>& sets) {
  const TableReader& table = rows.table();
  const auto start = table.reals("start", "s"), turn_in = table.reals("turn_in", "s");
  const auto turn_out = table.reals("turn_out", "s"), end = table.reals("end", "s");
  const auto part = table.wholes("part"), number = table.wholes("rep");
  const auto side = table.texts_if("side");
  for (const SetRows::Run& run : rows.runs()) {
    auto& reps = sets[run.set].reps;
    for (std::size_t i = run.first; i < run.first + run.count; ++i) {
      reps.push_back({start[i],
                      turn_in[i],
                      turn_out[i],
                      end[i],
                      part[i] != 0,
                      {},
                      dsp::side_from_name(std::string(side[i]))});
      if (number[i] != static_cast<std::int64_t>(reps.size())) {
        h5::raise("the reps of a set are not numbered 1, 2, 3…", table.path("rep"));
      }
    }
  }
}

/// The rows of a table of measures, each into the map that `map_of(set, row)` gives.
template <class MapOf>
void read_measures(const SetRows& rows, const MapOf& map_of) {
  const TableReader& table = rows.table();
  const auto measure = table.texts("measure"), unit = table.texts("unit");
  const auto reason = table.texts("reason");
  const auto value = table.reals("value", {}), u = table.reals("u", {});
  Units unit_of(table.path("unit"));
  for (const SetRows::Run& run : rows.runs()) {
    for (std::size_t i = run.first; i < run.first + run.count; ++i) {
      auto& measures = map_of(run.set, i);
      dsp::Measure one = dsp::NotMeasured{std::string(reason[i])};
      if (!std::isnan(value[i])) one = dsp::MeasuredValue{value[i], u[i], unit_of(unit[i])};
      measures.insert_or_assign(measures.end(), std::string(measure[i]), std::move(one));
    }
  }
}

void read_rep_measures(const SetRows& rows, std::vector<LoggedSet>& sets) {
  const TableReader& table = rows.table();
  const auto rep = table.wholes("rep");
  read_measures(
      rows, [&](std::size_t set, std::size_t row) -> auto& {
        auto& reps = sets[set].reps;
        if (rep[row] < 1 || static_cast<std::size_t>(rep[row]) > reps.size()) {
          h5::raise("names a rep that /reps does not have", table.path("rep"));
        }
        return reps[static_cast<std::size_t>(rep[row] - 1)].measures;
      });
}

void read_whole_set(const SetRows& rows, std::vector<LoggedSet>& sets) {
  read_measures(
      rows, [&](std::size_t set, std::size_t) -> auto& { return sets[set].as_whole; });
}

void read_clusters(const SetRows& rows, std::vector<LoggedSet>& sets) {
  const TableReader& table = rows.table();
  const auto first = table.wholes("first_rep"), reps = table.wholes("reps");
  const auto pause = table.reals("pause", "s");
  for (const SetRows::Run& run : rows.runs()) {
    LoggedSet& set = sets[run.set];
    std::size_t next = 0;
    for (std::size_t i = run.first; i < run.first + run.count; ++i) {
      const auto begin = static_cast<std::size_t>(first[i] - 1);  // a negative one: too great
      const auto count = static_cast<std::size_t>(reps[i]);
      if (begin != next || count > set.reps.size() - next) {
        h5::raise("the clusters do not follow one another through the reps",
                  table.path("first_rep"));
      }
      set.clusters.push_back({begin, count, pause[i]});
      next += count;
    }
  }
}

/// Those of the tables that came with 1.4; what an older file's reps show stands in for them.
void read_since_1_4(hid_t root, const TableReader& table, const std::vector<bool>& summarised,
                    const std::vector<bool>& whole, const LogbookPart& part,
                    std::vector<LoggedSet>& sets) {
  if (part.summaries && h5::has_child(root, "whole_set")) {
    read_whole_set({root, "whole_set", table, "first_whole_set", sets, summarised}, sets);
  }
  if (!part.reps) return;
  if (h5::has_child(root, "clusters")) {
    return read_clusters({root, "clusters", table, "first_cluster", sets, whole}, sets);
  }
  for (LoggedSet& set : sets) set.clusters = dsp::clusters_of(set.reps);
}

/// One flag per set; nobody's where there is no choice.
std::vector<bool> chosen(const LogbookPart::Choice& choice, const std::vector<LoggedSet>& sets) {
  std::vector<bool> wanted = choice ? choice(sets) : std::vector<bool>();
  wanted.resize(sets.size(), false);
  return wanted;
}

}  // namespace

Logbook logbook_from(hid_t root, const LogbookPart& part) {
  check_format(root, schema::kLogbook, "a logbook");
  Logbook logbook;
  logbook.client = h5::need_text(root, "client");
  const TableReader table(root, "sets");
  auto& sets = logbook.sets;
  sets = read_sets(table);
  for (LoggedSet& set : sets) set.description.client = logbook.client;
  const auto summarised = chosen(part.summaries, sets);
  const auto whole = chosen(part.reps, sets);
  if (part.summaries) {
    read_summaries({root, "set_measures", table, "first_set_measure", sets, summarised}, sets);
  }
  if (part.reps) {
    read_reps({root, "reps", table, "first_rep", sets, whole}, sets);
    read_rep_measures({root, "rep_measures", table, "first_rep_measure", sets, whole}, sets);
  }
  read_since_1_4(root, table, summarised, whole, part, sets);
  return logbook;
}

}  // namespace strapline::recordings
