#include "../roster.hpp"

#include <cmath>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/wording_judgement.hpp"
#include "strapline/coaching/wording_next.hpp"

#include "../clients_folder.hpp"
#include "../command.hpp"
#include "../set_cells.hpp"
#include "../set_json.hpp"
#include "../text_table.hpp"
#include "../today.hpp"

namespace strapline::cli {
namespace {

using coaching::NextStep;

struct Options {
  std::string clients, date;
  bool attention = false, json = false;
};

/// Fixed columns, so that each row can be printed as soon as it is known.
constexpr std::size_t kClientWidth = 20, kLastWidth = 22, kMovementWidth = 20, kSetsWidth = 9;

std::string cell(const std::string& text, std::size_t width) {
  const std::size_t length = character_count(text);
  return text + std::string(width > length ? width - length : 1, ' ');
}

std::string last_cell(const RosterRow& row, double today) {
  if (!row.day) return "no set yet";
  const double days = std::floor(today) - std::floor(*row.day);
  const std::string ago = days == 0.0   ? std::string("today")
                          : days == 1.0 ? std::string("1 day")
                                        : fmt::format("{:.0f} days", days);
  return fmt::format("{} ({})", coaching::date_from_days(*row.day), ago);
}

std::string step_words(const RosterStep& step) {
  return fmt::format("{} {}: {}", step.ladder, step.step,
                     coaching::proposal_name(step.next.proposal));
}

/// What is to be looked at, one line each.
std::vector<std::string> notes_of(const RosterRow& row) {
  std::vector<std::string> notes;
  for (const coaching::CautionKind kind : row.cautions) {
    notes.push_back("! " + std::string(coaching::caution_title(kind)));
  }
  for (const RosterStep& step : row.steps) notes.push_back(step_words(step));
  if (!row.faults.empty()) notes.emplace_back("? not all of it can be read");
  if (notes.empty()) notes.emplace_back("on no ladder");
  return notes;
}

std::string head() {
  return cell("client", kClientWidth) + cell("last trained", kLastWidth) +
         cell("what", kMovementWidth) + cell("4 weeks", kSetsWidth) + "cautions, next step\n";
}

std::string line_of(const RosterRow& row, double today) {
  const std::string load = row.load_kg && *row.load_kg > 0.0 ? " " + load_cell(row.load_kg) : "";
  const std::string start =
      cell(row.client, kClientWidth) + cell(last_cell(row, today), kLastWidth) +
      cell(row.day ? row.movement + load : "", kMovementWidth) +
      cell(row.day ? fmt::format("{} sets", row.recent_sets) : "", kSetsWidth);
  std::string text;
  for (const std::string& note : notes_of(row)) {
    text += (text.empty() ? start : std::string(character_count(start), ' ')) + note + "\n";
  }
  return text;
}

nlohmann::ordered_json maybe(const auto& value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json();
}

nlohmann::ordered_json row_json(const RosterRow& row) {
  nlohmann::ordered_json json = {{"client", row.client}};
  json["last_trained"] =
      row.day ? nlohmann::ordered_json(coaching::date_from_days(*row.day)) : nullptr;
  json["movement"] = row.movement;
  json["load_kg"] = maybe(row.load_kg);
  json["sets_in_4_weeks"] = row.recent_sets;
  json["cautions"] = nlohmann::ordered_json::array();
  for (const auto kind : row.cautions) json["cautions"].push_back(coaching::caution_name(kind));
  json["ladders"] = nlohmann::ordered_json::array();
  for (const RosterStep& step : row.steps) {
    json["ladders"].push_back({{"ladder", step.ladder},
                               {"step", step.step},
                               {"proposal", coaching::proposal_name(step.next.proposal)},
                               {"says", step.says}});
  }
  json["faults"] = nlohmann::ordered_json::array();
  for (const auto& fault : row.faults) json["faults"].push_back(fault.line());
  return json;
}

struct Counts {
  int clients = 0, stopped = 0, cautions = 0, due = 0;
  void add(Attention attention) {
    ++clients;
    stopped += attention == Attention::stop ? 1 : 0;
    cautions += attention == Attention::caution ? 1 : 0;
    due += attention == Attention::due ? 1 : 0;
  }
};

std::string summary(const Counts& counts) {
  return "\n" + paragraph("",
                          fmt::format("{} clients: {} stopped, {} more with a caution, {} more "
                                      "with a step due. strapline next "
                                      "and strapline letter tell why.",
                                      counts.clients, counts.stopped, counts.cautions, counts.due),
                          kTextWidth);
}

void roster(const Options& options, Run& run) {
  const auto today = as_of(options.date);
  if (!today) return run.fail(today.error());
  const auto clients = clients_folder(options.clients);
  const ClientList known = list_clients(clients);
  if (known.found.empty() && known.broken.empty()) {
    return run.fail("no client is set up", clients.string(), "strapline client add sets one up");
  }
  auto json = nlohmann::ordered_json::array();
  Counts counts;
  if (!options.json) run.console.out << head();
  for (const coaching::Client& client : known.found) {
    const RosterRow row = roster_row(client, client_files(clients, client.name), *today);
    const Attention attention = attention_of(row);
    counts.add(attention);
    for (const dsp::Failure& fault : row.faults) run.fail(fault);
    if (options.attention && attention == Attention::none && row.faults.empty()) continue;
    if (options.json) {
      json.push_back(row_json(row));
    } else {
      run.console.out << line_of(row, *today) << std::flush;
    }
  }
  for (const dsp::Failure& failure : known.broken) run.fail(failure);
  if (!known.broken.empty()) run.status = kDoneWithLosses;
  run.console.out << (options.json ? json_text({{"clients", json}}) : summary(counts));
}

}  // namespace

void add_roster(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "roster", "Every client at a glance: last trained, open cautions, whose next step is due");
  const auto options = std::make_shared<Options>();
  command->add_flag("--attention", options->attention,
                    "Only clients who are stopped, have a caution, or a step due");
  add_date_option(*command, options->date);
  add_clients_option(*command, options->clients);
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, &run] { roster(*options, run); });
}

}  // namespace strapline::cli
