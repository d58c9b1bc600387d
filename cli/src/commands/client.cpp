#include <system_error>

#include <fmt/format.h>

#include "strapline/coaching/ladder.hpp"
#include "strapline/coaching/movement.hpp"
#include "strapline/recordings/validate.hpp"

#include "../client_ladders.hpp"
#include "../client_listing.hpp"
#include "../client_options.hpp"
#include "../clients_folder.hpp"
#include "../command.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string name, clients;
  ClientOptions said;
  bool json = false;
};

/// A limit or a step under a name that nothing has would never guard anything.
dsp::Result<void> check_names(const coaching::Client& client, const fs::path& own_ladders) {
  for (const auto& [movement, kg] : client.limits.load_kg) {
    const auto known = coaching::load_movement(movement);
    if (!known) return dsp::fail(known.error().what, "--most-load", known.error().todo);
  }
  for (const auto& [name, step] : client.ladder_steps) {
    const auto ladder = find_ladder(name, own_ladders);
    if (!ladder) return dsp::fail(ladder.error().what, "--ladder", ladder.error().todo);
    if (coaching::find_step(*ladder, step)) continue;
    std::string steps;
    for (const auto& one : ladder->steps) steps += (steps.empty() ? "" : ", ") + one.name;
    return dsp::fail("the ladder '" + name + "' has no step '" + step + "'", "--ladder",
                     "use one of " + steps);
  }
  return {};
}

dsp::Result<void> keep(const fs::path& clients, const coaching::Client& client) {
  const auto known = check_names(client, client_files(clients, client.name).ladders);
  if (!known) return known;
  const auto wrong = recordings::problems(client.body);
  if (!wrong.empty()) return tl::make_unexpected(wrong.front());
  return store_client(clients, client);
}

void add(const Options& options, Run& run) {
  const fs::path clients = clients_folder(options.clients);
  const ClientFiles files = client_files(clients, options.name);
  std::error_code error;
  if (fs::exists(files.client, error)) {
    return run.fail("a client is there already", files.client.string(),
                    "strapline client edit changes one; another name makes another");
  }
  coaching::Client client;
  client.name = options.name;
  if (const auto taken = take(options.said, client); !taken) return run.fail(taken.error());
  if (const auto kept = keep(clients, client); !kept) return run.fail(kept.error());
  run.console.out << client.name << ": " << files.client.string() << '\n';
}

void edit(const Options& options, Run& run) {
  const fs::path clients = clients_folder(options.clients);
  auto client = need_client(clients, options.name);
  if (!client) return run.fail(client.error());
  if (const auto taken = take(options.said, *client); !taken) return run.fail(taken.error());
  if (const auto kept = keep(clients, *client); !kept) return run.fail(kept.error());
  run.console.out << client_details(*client, client_files(clients, client->name));
}

void show(const Options& options, Run& run) {
  const fs::path clients = clients_folder(options.clients);
  const auto client = need_client(clients, options.name);
  if (!client) return run.fail(client.error());
  const ClientFiles files = client_files(clients, client->name);
  run.console.out << (options.json ? client_json(*client, files) : client_details(*client, files));
}

void list(const Options& options, Run& run) {
  const fs::path clients = clients_folder(options.clients);
  const ClientList known = list_clients(clients);
  run.console.out << (options.json ? clients_json(known.found)
                                   : clients_table(known.found, clients));
  for (const dsp::Failure& failure : known.broken) run.fail(failure);
}

using Action = void (*)(const Options&, Run&);

CLI::App* add_action(CLI::App& command, const std::string& name, const std::string& what,
                     const std::shared_ptr<Options>& options, Action action, Run& run) {
  auto* one = command.add_subcommand(name, what);
  add_clients_option(*one, options->clients);
  one->callback([options, action, &run] { action(*options, run); });
  return one;
}

}  // namespace

void add_client(CLI::App& app, Run& run) {
  auto* command =
      app.add_subcommand("client", "Who is coached: body, kit, agreed limits, active aims");
  command->require_subcommand(1);
  const auto options = std::make_shared<Options>();
  const auto named = [&](CLI::App* one) {
    one->add_option("name", options->name, "Role or name")->required()->type_name("NAME");
    return one;
  };
  add_client_options(*named(add_action(*command, "add", "Set up a client", options, add, run)),
                     options->said);
  add_client_options(
      *named(add_action(*command, "edit", "Change what is said; what is not named stays", options,
                        edit, run)),
      options->said);
  named(add_action(*command, "show", "What is known of a client, and where it is kept", options,
                   show, run))
      ->add_flag("--json", options->json, "Print JSON");
  add_action(*command, "list", "Every client", options, list, run)
      ->add_flag("--json", options->json, "Print JSON");
}

}  // namespace strapline::cli
