#include "strapline/recordings/logbook.hpp"

#include <fmt/format.h>

#include "../command.hpp"
#include "../loaded_sets.hpp"
#include "../review_table.hpp"
#include "../reviewed_set.hpp"
#include "../set_cells.hpp"
#include "../set_json.hpp"
#include "../text_table.hpp"

namespace strapline::cli {
namespace {

using recordings::Logbook;
using recordings::LoggedSet;

struct Options {
  std::string logbook, folder, client, movement;
  std::vector<std::string> add;
  bool json = false;
};

std::string table_of(const Logbook& logbook) {
  TextTable table;
  for (const char* head : {"date", "movement", "load", "reps", "effort", "pain", "set"}) {
    table.add_column(head, TextTable::Align::left);
  }
  for (const LoggedSet& set : logbook.sets) {
    const recordings::SetDescription& d = set.description;
    const std::string variation = d.variation.empty() ? "" : ", " + d.variation;
    const std::string part = set.part_reps == 0 ? "" : fmt::format(" + {} part", set.part_reps);
    table.add_row({short_time(d.started_utc), d.movement + variation, load_cell(d.load_kg),
                   std::to_string(set.full_reps) + part,
                   effort_cell(d.effort_rpe, d.reps_in_reserve), pain_cell(d.pain), set.file});
  }
  return fmt::format("Logbook of {}: {} sets\n{}{}", logbook.client, logbook.sets.size(),
                     logbook.sets.empty() ? "" : "\n", table.empty() ? "" : table.text(kTextWidth));
}

nlohmann::ordered_json summaries_json(const LoggedSet& set) {
  auto json = nlohmann::ordered_json::object();
  for (const auto& [name, summary] : set.measures) {
    const double factor = dsp::display_factor(summary.unit);
    json[name] = {{"n", summary.n},
                  {"mean", summary.mean * factor},
                  {"median", summary.median * factor},
                  {"sd", summary.sd ? nlohmann::ordered_json(*summary.sd * factor)
                                    : nlohmann::ordered_json()},
                  {"u", summary.u * factor},
                  {"unit", dsp::display_unit(summary.unit)}};
  }
  return json;
}

nlohmann::ordered_json as_json(const Logbook& logbook) {
  nlohmann::ordered_json json;
  json["client"] = logbook.client;
  json["sets"] = nlohmann::ordered_json::array();
  for (const LoggedSet& set : logbook.sets) {
    nlohmann::ordered_json one = set_json(set.description);
    one["set_id"] = set.set_id;
    one["file"] = set.file;
    one["source"] = set.source;
    one["algorithm"] = set.algorithm;
    one["full_reps"] = set.full_reps;
    one["part_reps"] = set.part_reps;
    one["measures"] = summaries_json(set);
    one["set_measures"] = measures_json(set.as_whole);
    one["clusters"] = clusters_json(set.clusters);
    one["reps"] = reps_json(set.reps);
    json["sets"].push_back(std::move(one));
  }
  return json;
}

/// What --add and --rebuild did, for people or machines.
struct Outcome {
  int added = 0, already_there = 0, other_clients = 0;
  std::vector<std::string> skipped;
};

void print(const Outcome& outcome, const Options& options, Run& run) {
  for (const std::string& line : outcome.skipped) run.fail(line);
  if (options.json) {
    run.console.out << json_text({{"logbook", options.logbook},
                                  {"added", outcome.added},
                                  {"already_there", outcome.already_there},
                                  {"other_clients", outcome.other_clients},
                                  {"skipped", outcome.skipped}});
    return;
  }
  std::string text = fmt::format("{}: added {}", options.logbook, outcome.added);
  if (outcome.already_there > 0) text += fmt::format(", already there {}", outcome.already_there);
  if (outcome.other_clients > 0)
    text += fmt::format(", of other clients {}", outcome.other_clients);
  if (!outcome.skipped.empty()) text += fmt::format(", not usable {}", outcome.skipped.size());
  run.console.out << text << '\n';
}

void list(const Options& options, Run& run) {
  // The table shows headlines alone.
  const auto logbook = options.json
                           ? recordings::read_logbook(options.logbook)
                           : recordings::read_logbook(options.logbook, recordings::LogbookPart{});
  if (!logbook) return run.fail(logbook.error());
  run.console.out << (options.json ? json_text(as_json(*logbook)) : table_of(*logbook));
}

/// One file that cannot be used does not keep the others out.
void add(const Options& options, Run& run) {
  Outcome outcome;
  for (const std::string& file : options.add) {
    const auto entry = log_entry(file, options.movement);
    if (!entry) {
      outcome.skipped.push_back(entry.error().line());
      continue;
    }
    const auto added = recordings::append_to_logbook(options.logbook, *entry);
    if (!added) {
      outcome.skipped.push_back(file + ": " + added.error().line());
    } else {
      ++(*added == recordings::Added::yes ? outcome.added : outcome.already_there);
    }
  }
  print(outcome, options, run);
}

void rebuild(const Options& options, Run& run) {
  if (options.client.empty()) throw CLI::RequiredError("with --rebuild, --client");
  const auto report = recordings::rebuild_logbook(
      options.logbook, options.client, options.folder, [&](const recordings::Recording& recording) {
        return analyse_as_reviewed(recording, options.movement);
      });
  if (!report) return run.fail(report.error());
  Outcome outcome{report->added, report->repeated, report->other_clients, {}};
  for (const dsp::Failure& failure : report->skipped) outcome.skipped.push_back(failure.line());
  print(outcome, options, run);
  // The logbook is there, without what could not be used.
  if (!outcome.skipped.empty()) run.status = kDoneWithLosses;
}

}  // namespace

void add_logbook(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "logbook", "List a client's logbook, add sets to it, or rebuild it from the recordings");
  const auto options = std::make_shared<Options>();
  command->add_option("logbook", options->logbook, "Logbook; --add makes it where there is none")
      ->required()
      ->type_name("LOGBOOK.h5");
  auto* add_files =
      command->add_option("--add", options->add, "Recordings to add")->type_name("FILE.h5");
  command
      ->add_option("--rebuild", options->folder,
                   "Make it anew from the client's recordings in a folder")
      ->excludes(add_files)
      ->type_name("FOLDER");
  command->add_option("--client", options->client, "Whose recordings --rebuild takes")
      ->type_name("NAME");
  command->add_option("--movement", options->movement, "Analyse as this movement")
      ->type_name("NAME|FILE.toml");
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, &run] {
    if (!options->add.empty()) return add(*options, run);
    if (!options->folder.empty()) return rebuild(*options, run);
    list(*options, run);
  });
}

}  // namespace strapline::cli
