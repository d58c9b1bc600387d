#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/movement.hpp"

#include "../aim_listing.hpp"
#include "../client_aims.hpp"
#include "../clients_folder.hpp"
#include "../command.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string name, client, clients;
  bool json = false, toml = false, drop = false;
};

/// The client named and where the client's own aims are; neither where none is named.
struct Whose {
  std::optional<coaching::Client> client;
  fs::path own;
};

dsp::Result<Whose> whose(const Options& options) {
  if (options.client.empty()) return Whose{};
  const fs::path clients = clients_folder(options.clients);
  auto client = need_client(clients, options.client);
  if (!client) return tl::make_unexpected(client.error());
  const fs::path own = client_files(clients, client->name).aims;
  return Whose{std::move(*client), own};
}

bool is_active(const Whose& who, const std::string& name) {
  return who.client && std::count(who.client->aims.begin(), who.client->aims.end(), name) != 0;
}

void list(const Options& options, Run& run) {
  const auto who = whose(options);
  if (!who) return run.fail(who.error());
  std::vector<ListedAim> aims;
  const std::vector<std::string> own = own_aims(who->own);
  std::vector<std::string> names = own;
  for (const std::string& name : coaching::built_in_aims()) {
    if (std::count(own.begin(), own.end(), name) == 0) names.push_back(name);
  }
  for (const std::string& name : names) {
    auto aim = find_aim(name, who->own);
    if (!aim) {
      run.fail(aim.error());
      continue;
    }
    const bool is_own = std::count(own.begin(), own.end(), name) != 0;
    aims.push_back({std::move(*aim), is_own, is_active(*who, name)});
  }
  run.console.out << (options.json ? aims_json(aims) : aims_table(aims));
}

void show(const Options& options, Run& run) {
  const auto who = whose(options);
  if (!who) return run.fail(who.error());
  const auto aim = find_aim(options.name, who->own);
  if (!aim) return run.fail(aim.error());
  if (options.json) {
    run.console.out << aim_json_text(*aim);
  } else if (options.toml) {
    const auto text = coaching::built_in_aim_text(options.name);
    if (text.empty()) {
      return run.fail("only a built-in aim's file is printed", options.name, "open your own");
    }
    run.console.out << text;
  } else {
    run.console.out << aim_details(*aim);
  }
}

/// Reads the file, and holds it against the movement that it names.
void check(const Options& options, Run& run) {
  const auto aim = find_aim(options.name, {});
  if (!aim) return run.fail(aim.error());
  const auto movement = coaching::load_movement(aim->movement);
  if (!movement) return run.fail(movement.error().what, options.name, movement.error().todo);
  for (const coaching::AimBand& band : aim->bands) {
    const bool measured = std::any_of(
        movement->measures.begin(), movement->measures.end(), [&](const std::string& base) {
          return band.measure == base || band.measure.starts_with(base + "_");
        });
    if (measured) continue;
    run.fail(fmt::format("the movement {} does not measure {}", movement->name, band.measure),
             options.name, "take the band out, or use another movement");
  }
  if (run.status == kDone) run.console.out << options.name << ": sound\n\n" << aim_details(*aim);
}

void use(const Options& options, Run& run) {
  auto who = whose(options);
  if (!who) return run.fail(who.error());
  std::vector<std::string>& aims = who->client->aims;
  if (options.drop) {
    if (std::erase(aims, options.name) == 0) {
      return run.fail("the aim is not active for " + who->client->name, options.name,
                      "strapline client show lists those that are");
    }
  } else {
    const auto aim = find_aim(options.name, who->own);
    if (!aim) return run.fail(aim.error());
    if (!is_active(*who, options.name)) aims.push_back(options.name);
  }
  const auto stored = store_client(clients_folder(options.clients), *who->client);
  if (!stored) return run.fail(stored.error());
  run.console.out << fmt::format("{}: active aims: {}\n", who->client->name,
                                 aims.empty() ? "none" : fmt::format("{}", fmt::join(aims, ", ")));
}

using Action = void (*)(const Options&, Run&);

CLI::App* add_action(CLI::App& command, const std::string& name, const std::string& what,
                     const std::shared_ptr<Options>& options, Action action, Run& run) {
  auto* one = command.add_subcommand(name, what);
  one->callback([options, action, &run] { action(*options, run); });
  return one;
}

void add_name(CLI::App& command, Options& options, const std::string& form) {
  command.add_option("name", options.name, "Aim")->required()->type_name(form);
}

CLI::Option* add_client_option(CLI::App& command, Options& options) {
  add_clients_option(command, options.clients);
  return command.add_option("--client", options.client, "Client, who is set up")->type_name("NAME");
}

}  // namespace

void add_aim(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "aim", "What a client means to do: a band per measure, why, and how strictly");
  command->require_subcommand(1);
  const auto options = std::make_shared<Options>();
  auto* listing =
      add_action(*command, "list", "Built-in aims, and a client's own", options, list, run);
  add_client_option(*listing, *options);
  listing->add_flag("--json", options->json, "Print JSON");
  auto* showing =
      add_action(*command, "show", "One aim: its bands, why, and sources", options, show, run);
  add_name(*showing, *options, "NAME|FILE.toml");
  add_client_option(*showing, *options);
  auto* json = showing->add_flag("--json", options->json, "Print JSON");
  showing->add_flag("--toml", options->toml, "Print a built-in aim's file, to copy and change")
      ->excludes(json);
  add_name(*add_action(*command, "check", "Whether a file is a sound aim for its movement", options,
                       check, run),
           *options, "FILE.toml");
  auto* using_it = add_action(
      *command, "use", "Make an aim active for a client: built in, or one of the client's own",
      options, use, run);
  add_name(*using_it, *options, "NAME");
  add_client_option(*using_it, *options)->required();
  using_it->add_flag("--drop", options->drop, "No longer");
}

}  // namespace strapline::cli
