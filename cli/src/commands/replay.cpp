#include <filesystem>
#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/recordings/recording_file.hpp"

#include "../command.hpp"
#include "../live/replay_script.hpp"
#include "../option_range.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string file;
  std::string folder;  ///< of the pseudo-terminals' links
  std::optional<int> first_port;
  double speed = 1.0;
  double drop = 0.0;
  double corrupt = 0.0;
  std::uint32_t seed = 1;
  bool json = false;
};

struct Player {
  acquisition::VirtualStraps straps;
  std::vector<std::string> names;
  std::vector<std::string> addresses;
};

dsp::Result<void> prepare(const Options& options) {
  if (options.folder.empty() == !options.first_port) {
    return dsp::fail("where to play is not clear", "replay", "give --pty DIR or --tcp PORT");
  }
  if (options.folder.empty()) return {};
  std::error_code error;
  fs::create_directories(options.folder, error);
  if (!error) return {};
  return dsp::fail("the folder cannot be made: " + error.message(), options.folder);
}

dsp::Result<void> plug_in(const Options& options, std::vector<acquisition::StrapScript> scripts,
                          Player& player) {
  for (std::size_t i = 0; i < scripts.size(); ++i) {
    acquisition::VirtualFaults faults;
    faults.drop_batches = options.drop;
    faults.corrupt_bytes = options.corrupt;
    faults.seed = options.seed + static_cast<std::uint32_t>(i);
    player.names.push_back(scripts[i].name);
    const int port =
        options.first_port.value_or(0) == 0 ? 0 : *options.first_port + static_cast<int>(i);
    if (port > UINT16_MAX) return dsp::fail("there are no ports above 65535", "--tcp");
    const auto link = (fs::path(options.folder) / scripts[i].name).string();
    const auto added =
        options.first_port
            ? player.straps.add_tcp(std::move(scripts[i]), faults, static_cast<std::uint16_t>(port))
            : player.straps.add_pty(std::move(scripts[i]), faults, link);
    if (!added) return dsp::fail(added.error().what, added.error().where, added.error().todo);
    player.addresses.push_back(*added);
  }
  return {};
}

/// Each line is what record takes after --strap.
void print_addresses(const Player& player, bool json, std::ostream& out) {
  nlohmann::json straps = nlohmann::json::array();
  for (std::size_t i = 0; i < player.names.size(); ++i) {
    if (json) {
      straps.push_back({{"placement", player.names[i]}, {"address", player.addresses[i]}});
    } else {
      out << player.names[i] << '=' << player.addresses[i] << '\n';
    }
  }
  if (json) out << nlohmann::json{{"straps", straps}} << '\n';
  out << std::flush;
}

void print_report(const Player& player, std::ostream& out) {
  for (std::size_t i = 0; i < player.names.size(); ++i) {
    const auto report = player.straps.report(i);
    out << fmt::format(
        "{}: {} readings played, {} not asked for, {} batches dropped and {} bytes "
        "changed on purpose\n",
        player.names[i], report.offered.size(), report.missed, report.batches_swallowed,
        report.bytes_corrupted);
  }
}

void replay(const Options& options, Run& run) {
  if (const auto ready = prepare(options); !ready) return run.fail(ready.error());
  const auto recording = recordings::read_recording(options.file);
  if (!recording) return run.fail(recording.error());
  ReplayScript script = to_script(*recording);
  for (const std::string& note : script.notes) run.console.err << "strapline: " << note << '\n';
  Player player{acquisition::VirtualStraps(options.speed), {}, {}};
  if (const auto ready = plug_in(options, std::move(script.straps), player); !ready) {
    return run.fail(ready.error());
  }
  print_addresses(player, options.json, run.console.out);
  player.straps.stop_on_interrupt();
  player.straps.run_once();
  if (!options.json) print_report(player, run.console.out);
}

}  // namespace

void add_replay(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("replay", "Play a recording's straps as virtual ones");
  const auto options = std::make_shared<Options>();
  command->add_option("file", options->file, "Recording to play")->required();
  auto* pty = command->add_option("--pty", options->folder,
                                  "Pseudo-terminals, as DIR/left_thigh and so on");
  command
      ->add_option("--tcp", options->first_port,
                   "TCP ports of this machine from this one on, one per strap; 0: any free ones")
      ->check(between(0, 65535))
      ->excludes(pty);
  command->add_option("--speed", options->speed, "How much faster than life; tell record the same")
      ->check(between(0.1, 1000.0))
      ->capture_default_str();
  command->add_option("--drop", options->drop, "Share of batches that the links swallow, 0 to 1")
      ->check(between(0.0, 1.0));
  command->add_option("--corrupt", options->corrupt, "Share of bytes that the links change, 0 to 1")
      ->check(between(0.0, 1.0));
  command->add_option("--seed", options->seed, "Of what is dropped and changed")
      ->capture_default_str();
  command->add_flag("--json", options->json, "Print the addresses as one line of JSON");
  command->callback([options, &run] { replay(*options, run); });
}

}  // namespace strapline::cli
