#include "logbook_file.hpp"

#include <cmath>
#include <unordered_map>
#include <variant>

#include "file_format.hpp"
#include "logbook_table.hpp"
#include "measure_table.hpp"

namespace strapline::recordings {
namespace {

using h5::Handle;

const char* const kOwnUnit = "see column unit";

const Columns kSets{
    {"set_id", "file", "source", "algorithm", "started_utc", "movement", "variation", "kit",
     "pain_place", "notes"},
    {"full_reps", "part_reps"},
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

// --- writing ---

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

void add_rep_measure(Table& table, const dsp::Measure& measure) {
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
      measures.text("measure", name);
      add_rep_measure(measures, measure);
    }
  }
}

void write_tables(hid_t root, const Logbook& logbook) {
  Table sets(kSets), set_measures(kSetMeasures), reps(kReps), rep_measures(kRepMeasures);
  for (const LoggedSet& set : logbook.sets) {
    add_set(sets, set);
    add_summary(set_measures, set);
    add_reps(reps, rep_measures, set);
  }
  sets.write(root, "sets");
  set_measures.write(root, "set_measures");
  reps.write(root, "reps");
  rep_measures.write(root, "rep_measures");
}

// --- reading ---

std::optional<double> entered(double value) {
  return std::isnan(value) ? std::nullopt : std::optional(value);
}

std::vector<LoggedSet> read_sets(hid_t root) {
  const TableReader table(root, "sets");
  const auto file = table.texts("file"), source = table.texts("source");
  const auto algorithm = table.texts("algorithm"), started = table.texts("started_utc");
  const auto movement = table.texts("movement"), variation = table.texts("variation");
  const auto kit = table.texts("kit"), place = table.texts("pain_place");
  const auto notes = table.texts("notes");
  const auto load = table.reals("load", "kg"), effort = table.reals("effort_rpe", "1");
  const auto reserve = table.reals("reps_in_reserve", "1");
  const auto pain = table.reals("pain_0_to_10", "1");
  const auto full = table.wholes("full_reps"), part = table.wholes("part_reps");
  std::vector<LoggedSet> sets(table.rows());
  for (std::size_t i = 0; i < sets.size(); ++i) {
    LoggedSet& set = sets[i];
    set.set_id = table.ids()[i];
    set.file = file[i];
    set.source = source[i];
    set.algorithm = algorithm[i];
    set.description = {"",
                       movement[i],
                       variation[i],
                       kit[i],
                       started[i],
                       entered(load[i]),
                       entered(effort[i]),
                       entered(reserve[i]),
                       entered(pain[i]),
                       place[i],
                       notes[i]};
    set.full_reps = static_cast<int>(full[i]);
    set.part_reps = static_cast<int>(part[i]);
  }
  return sets;
}

using SetsById = std::unordered_map<std::string, LoggedSet*>;

LoggedSet& set_of(const SetsById& sets, const std::string& id, const char* table) {
  const auto found = sets.find(id);
  if (found == sets.end()) h5::raise("names a set that /sets does not have: " + id, table);
  return *found->second;
}

void read_summaries(hid_t root, const SetsById& sets) {
  const TableReader table(root, "set_measures");
  const auto measure = table.texts("measure"), unit = table.texts("unit");
  const auto n = table.wholes("n");
  const auto median = table.reals("median", {}), mean = table.reals("mean", {});
  const auto sd = table.reals("sd", {}), u = table.reals("u", {});
  for (std::size_t i = 0; i < table.rows(); ++i) {
    set_of(sets, table.ids()[i], "/set_measures").measures[measure[i]] = {
        static_cast<int>(n[i]), median[i], mean[i],
        entered(sd[i]),         u[i],      unit_from_si(unit[i], "/set_measures/unit")};
  }
}

void read_reps(hid_t root, const SetsById& sets) {
  const TableReader table(root, "reps");
  const auto start = table.reals("start", "s"), turn_in = table.reals("turn_in", "s");
  const auto turn_out = table.reals("turn_out", "s"), end = table.reals("end", "s");
  const auto part = table.wholes("part"), number = table.wholes("rep");
  const auto side = table.texts_if("side");
  for (std::size_t i = 0; i < table.rows(); ++i) {
    auto& reps = set_of(sets, table.ids()[i], "/reps").reps;
    reps.push_back({start[i],
                    turn_in[i],
                    turn_out[i],
                    end[i],
                    part[i] != 0,
                    {},
                    dsp::side_from_name(side[i])});
    if (number[i] != static_cast<std::int64_t>(reps.size())) {
      h5::raise("the reps of a set are not numbered 1, 2, 3…", "/reps/rep");
    }
  }
}

void read_rep_measures(hid_t root, const SetsById& sets) {
  const TableReader table(root, "rep_measures");
  const auto rep = table.wholes("rep");
  const auto measure = table.texts("measure"), unit = table.texts("unit");
  const auto reason = table.texts("reason");
  const auto value = table.reals("value", {}), u = table.reals("u", {});
  for (std::size_t i = 0; i < table.rows(); ++i) {
    auto& reps = set_of(sets, table.ids()[i], "/rep_measures").reps;
    if (rep[i] < 1 || static_cast<std::size_t>(rep[i]) > reps.size()) {
      h5::raise("names a rep that /reps does not have", "/rep_measures/rep");
    }
    dsp::Measure& target = reps[static_cast<std::size_t>(rep[i] - 1)].measures[measure[i]];
    if (std::isnan(value[i])) {
      target = dsp::NotMeasured{reason[i]};
    } else {
      target = dsp::MeasuredValue{value[i], u[i], unit_from_si(unit[i], "/rep_measures/unit")};
    }
  }
}

}  // namespace

h5::Bytes logbook_bytes(const Logbook& logbook) {
  h5::Image image = h5::Image::create();
  write_format(image.root(), schema::kLogbook);
  h5::set_text(image.root(), "client", logbook.client);
  write_tables(image.root(), logbook);
  return image.finish();
}

Logbook logbook_from(const h5::Bytes& bytes) {
  const h5::Image image = h5::Image::open(bytes, h5::Image::Access::read);
  const hid_t root = image.root();
  check_format(root, schema::kLogbook, "a logbook");
  Logbook logbook;
  logbook.client = h5::need_text(root, "client");
  logbook.sets = read_sets(root);
  SetsById by_id;
  for (LoggedSet& set : logbook.sets) {
    set.description.client = logbook.client;
    by_id[set.set_id] = &set;
  }
  read_summaries(root, by_id);
  read_reps(root, by_id);
  read_rep_measures(root, by_id);
  return logbook;
}

bool is_logbook(const h5::Bytes& bytes) {
  const h5::Image image = h5::Image::open(bytes, h5::Image::Access::read);
  return h5::find_text(image.root(), "format") == schema::kLogbook;
}

}  // namespace strapline::recordings
