#include "logbook_writer.hpp"

#include <variant>

#include "file_format.hpp"
#include "logbook_table.hpp"

namespace strapline::recordings {
namespace {

const char* const kOwnUnit = "see column unit";

const Columns kSets{
    {"set_id", "file", "source", "algorithm", "started_utc", "movement", "variation", "kit",
     "pain_place", "notes"},
    {"full_reps", "part_reps", "first_set_measure", "first_whole_set", "first_rep",
     "first_rep_measure", "first_cluster"},
    {{"load", "kg"}, {"effort_rpe", "1"}, {"reps_in_reserve", "1"}, {"pain_0_to_10", "1"}}};

const Columns kSetMeasures{
    {"set_id", "measure", "unit"},
    {"n"},
    {{"median", kOwnUnit}, {"mean", kOwnUnit}, {"sd", kOwnUnit}, {"u", kOwnUnit}}};

const Columns kReps{{"set_id", "side"},
                    {"rep", "part"},
                    {{"start", "s"}, {"turn_in", "s"}, {"turn_out", "s"}, {"end", "s"}}};

const Columns kRepMeasures{
    {"set_id", "measure", "unit", "reason"}, {"rep"}, {{"value", kOwnUnit}, {"u", kOwnUnit}}};

const Columns kWholeSet{
    {"set_id", "measure", "unit", "reason"}, {}, {{"value", kOwnUnit}, {"u", kOwnUnit}}};

const Columns kClusters{{"set_id"}, {"first_rep", "reps"}, {{"pause", "s"}}};

void add_set(Table& table, const LoggedSet& set) {
  const SetDescription& said = set.description;
  table.text("set_id", set.set_id);
  table.text("file", set.file);
  table.text("source", set.source);
  table.text("algorithm", set.algorithm);
  table.text("started_utc", said.started_utc);
  table.text("movement", said.movement);
  table.text("variation", said.variation);
  table.text("kit", said.kit);
  table.real("load", said.load_kg);
  table.real("effort_rpe", said.effort_rpe);
  table.real("reps_in_reserve", said.reps_in_reserve);
  table.real("pain_0_to_10", said.pain);
  table.text("pain_place", said.pain_place);
  table.text("notes", said.notes);
  table.whole("full_reps", set.full_reps);
  table.whole("part_reps", set.part_reps);
}

void add_summary(Table& table, const LoggedSet& set) {
  for (const auto& [name, summary] : set.measures) {
    table.text("set_id", set.set_id);
    table.text("measure", name);
    table.text("unit", dsp::si_unit(summary.unit));
    table.whole("n", summary.n);
    table.real("median", summary.median);
    table.real("mean", summary.mean);
    table.real("sd", summary.sd);
    table.real("u", summary.u);
  }
}

void add_measure(Table& table, const std::string& name, const dsp::Measure& measure) {
  table.text("measure", name);
  const auto* measured = std::get_if<dsp::MeasuredValue>(&measure);
  const auto* absent = std::get_if<dsp::NotMeasured>(&measure);
  table.real("value", measured ? std::optional(measured->value) : std::nullopt);
  table.real("u", measured ? std::optional(measured->u) : std::nullopt);
  table.text("unit", measured ? dsp::si_unit(measured->unit) : "");
  table.text("reason", absent ? absent->reason : "");
}

void add_reps(Table& reps, Table& measures, const LoggedSet& set) {
  std::int64_t number = 0;
  for (const dsp::Rep& rep : set.reps) {
    reps.text("set_id", set.set_id);
    reps.whole("rep", ++number);
    reps.real("start", rep.start_s);
    reps.real("turn_in", rep.turn_in_s);
    reps.real("turn_out", rep.turn_out_s);
    reps.real("end", rep.end_s);
    reps.whole("part", rep.part ? 1 : 0);
    reps.text("side", dsp::side_name(rep.side));
    for (const auto& [name, measure] : rep.measures) {
      measures.text("set_id", set.set_id);
      measures.whole("rep", number);
      add_measure(measures, name, measure);
    }
  }
}

void add_whole_set(Table& table, const LoggedSet& set) {
  for (const auto& [name, measure] : set.as_whole) {
    table.text("set_id", set.set_id);
    add_measure(table, name, measure);
  }
}

void add_clusters(Table& table, const LoggedSet& set) {
  for (const dsp::RepCluster& cluster : set.clusters) {
    table.text("set_id", set.set_id);
    table.whole("first_rep", static_cast<std::int64_t>(cluster.first) + 1);
    table.whole("reps", static_cast<std::int64_t>(cluster.count));
    table.real("pause", cluster.pause_s);
  }
}

void write_tables(hid_t root, const Logbook& logbook) {
  Table sets(kSets), set_measures(kSetMeasures), reps(kReps), rep_measures(kRepMeasures);
  Table whole_set(kWholeSet), clusters(kClusters);
  for (const LoggedSet& set : logbook.sets) {
    add_set(sets, set);
    // The rows of a set follow one another from these on, so that they are found without a search.
    sets.whole("first_set_measure", set_measures.rows());
    sets.whole("first_whole_set", whole_set.rows());
    sets.whole("first_rep", reps.rows());
    sets.whole("first_rep_measure", rep_measures.rows());
    sets.whole("first_cluster", clusters.rows());
    add_summary(set_measures, set);
    add_whole_set(whole_set, set);
    add_reps(reps, rep_measures, set);
    add_clusters(clusters, set);
  }
  sets.write(root, "sets");
  set_measures.write(root, "set_measures");
  whole_set.write(root, "whole_set");
  reps.write(root, "reps");
  rep_measures.write(root, "rep_measures");
  clusters.write(root, "clusters");
}

}  // namespace

h5::Bytes logbook_bytes(const Logbook& logbook) {
  h5::Image image = h5::Image::create();
  write_format(image.root(), schema::kLogbook);
  h5::set_text(image.root(), "client", logbook.client);
  write_tables(image.root(), logbook);
  return image.finish();
}

}  // namespace strapline::recordings
