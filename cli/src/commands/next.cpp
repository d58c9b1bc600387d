#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/coaching/wording_next.hpp"

#include "../command.hpp"
#include "../next_json.hpp"
#include "../set_json.hpp"
#include "../text_table.hpp"
#include "../today.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string client, ladder, clients, date;
  bool accept = false, json = false;
};

std::string findings_text(const Standing& standing) {
  std::string text;
  for (const coaching::RuleFinding& finding : standing.next.findings) {
    const std::string mark = fmt::format("  {:<16}", coaching::state_name(finding.state));
    text += paragraph(mark, fmt::format("{} ({})", coaching::say_rule(finding), finding.source),
                      kTextWidth);
  }
  return text;
}

/// The usual cautions of the movement stood in, and of the one that is proposed.
std::string cautions_text(const Standing& standing) {
  const auto movement =
      coaching::load_movement(standing.ladder.steps[standing.next.to_step].movement);
  if (!movement) return {};
  std::string text = "\nCautions:\n";
  for (const std::string& caution : movement->cautions)
    text += paragraph("  - ", caution, kTextWidth);
  return text;
}

std::string standing_text(const Standing& standing, const std::string& client) {
  const coaching::Ladder& ladder = standing.ladder;
  const std::size_t step = standing.next.step;
  std::string text = fmt::format("{} – {}\nStands on step {} of {}: {}\n\n", ladder.title, client,
                                 step + 1, ladder.steps.size(), ladder.steps[step].title);
  text += paragraph("", coaching::say_proposal(standing.next, ladder), kTextWidth) + "\n";
  text += findings_text(standing);
  const auto& exit = ladder.steps[step].exit;
  text += "\n" + paragraph("Why so: ", fmt::format("{} ({})", exit.why, exit.source), kTextWidth);
  return text + cautions_text(standing);
}

/// Puts the client on the proposed step.
dsp::Result<void> accept(const Standing& standing, coaching::Client client, const fs::path& clients,
                         std::string& said) {
  const coaching::NextStep& next = standing.next;
  if (next.what != coaching::Proposed::step) {
    said = "nothing to accept: no other step is proposed";
    return {};
  }
  const std::string& step = standing.ladder.steps[next.to_step].name;
  client.ladder_steps[standing.ladder.name] = step;
  said = fmt::format("accepted: {} now stands on {}", client.name, step);
  return store_client(clients, client);
}

dsp::Result<std::vector<Standing>> standings_of(const Options& options,
                                                const coaching::Client& client,
                                                const ClientFiles& files) {
  const auto today = as_of(options.date);
  if (!today) return tl::make_unexpected(today.error());
  const auto history = read_history(files.logbook, *today, kStandingDays);
  if (!history) return tl::make_unexpected(history.error());
  std::vector<std::string> names;
  if (!options.ladder.empty()) names.push_back(options.ladder);
  for (const auto& [ladder, step] : client.ladder_steps) {
    if (options.ladder.empty()) names.push_back(ladder);
  }
  if (names.empty()) {
    return dsp::fail(client.name + " stands on no ladder", files.client.string(),
                     "set one with strapline client edit \"" + client.name +
                         "\" --ladder squat=parallel; strapline next --ladders lists them");
  }
  std::vector<Standing> standings;
  for (const std::string& name : names) {
    auto standing = decide_standing({client, files, *history, *today}, name);
    if (!standing) return tl::make_unexpected(standing.error());
    standings.push_back(std::move(*standing));
  }
  return standings;
}

void next(const Options& options, Run& run) {
  const fs::path clients = clients_folder(options.clients);
  const auto client = need_client(clients, options.client);
  if (!client) return run.fail(client.error());
  const auto standings = standings_of(options, *client, client_files(clients, client->name));
  if (!standings) return run.fail(standings.error());
  auto json = nlohmann::ordered_json::array();
  bool first = true;
  for (const Standing& standing : *standings) {
    json.push_back(standing_json(standing));
    std::string said;
    if (options.accept) {
      // Each ladder's step is written before the next one is looked at.
      const auto known = need_client(clients, options.client);
      if (!known) return run.fail(known.error());
      if (const auto kept = accept(standing, *known, clients, said); !kept) {
        return run.fail(kept.error());
      }
      json.back()["accepted"] = standing.next.what == coaching::Proposed::step;
    }
    if (options.json) continue;
    run.console.out << (first ? "" : "\n") << standing_text(standing, client->name);
    if (!said.empty()) run.console.out << '\n' << said << '\n';
    first = false;
  }
  if (options.json) run.console.out << json_text({{"client", client->name}, {"ladders", json}});
}

void list_ladders(Run& run) {
  for (const std::string& name : coaching::built_in_ladders()) {
    const auto ladder = coaching::load_ladder(name);
    if (!ladder) return run.fail(ladder.error());
    run.console.out << fmt::format("{} – {}\n", ladder->name, ladder->title);
    for (const coaching::LadderStep& step : ladder->steps) {
      run.console.out << fmt::format("  {:<22}  {}\n", step.name, step.title);
    }
  }
}

}  // namespace

void add_next(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "next", "Propose the next step on a client's ladder: go on, hold, step back or stop");
  const auto options = std::make_shared<Options>();
  const auto ladders = std::make_shared<bool>(false);
  command->add_option("client", options->client, "Role or name")->type_name("NAME");
  command->add_option("--ladder", options->ladder, "Only this ladder [all the client stands on]")
      ->type_name("NAME|FILE.toml");
  command->add_flag("--ladders", *ladders, "List the built-in ladders and their steps");
  command->add_flag("--accept", options->accept, "Put the client on the proposed step");
  add_date_option(*command, options->date);
  add_clients_option(*command, options->clients);
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, ladders, &run] {
    if (*ladders) return list_ladders(run);
    if (options->client.empty()) throw CLI::RequiredError("client");
    next(*options, run);
  });
}

}  // namespace strapline::cli
