#include "record_plan.hpp"

#include <algorithm>
#include <ctime>

#include <fmt/chrono.h>
#include <fmt/format.h>

#include "strapline/coaching/body_lengths.hpp"
#include "strapline/recordings/validate.hpp"

#include "../clients_folder.hpp"
#include "../option_range.hpp"
#include "../part_options.hpp"
#include "../set_options.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

/// Parts are told to the client as they begin: one that ends before it begins would never be.
dsp::Result<void> check_parts(const dsp::RecordingParts& parts) {
  for (const auto& part : {parts.still, parts.align, parts.set, parts.still_after}) {
    if (!part || (part->from_s >= 0.0 && part->from_s < part->to_s)) continue;
    return dsp::fail(fmt::format("a part goes from {} s to {} s", part->from_s, part->to_s),
                     "parts", "give FROM:TO with FROM before TO");
  }
  return {};
}

dsp::Result<void> add_strap(const std::string& text, RecordPlan& plan) {
  const auto equals = text.find('=');
  if (equals == std::string::npos) {
    return dsp::fail(fmt::format("\"{}\" names no address", text), "--strap",
                     "give PLACEMENT=ADDRESS, say left_thigh=/dev/ttyACM0");
  }
  const auto placement = recordings::parse_placement(text.substr(0, equals));
  if (!placement) {
    return dsp::fail(placement.error().what, "--strap", placement.error().todo);
  }
  const auto address = acquisition::parse_address(text.substr(equals + 1));
  if (!address) {
    return dsp::fail(address.error().what,
                     address.error().where.empty() ? text : address.error().where,
                     address.error().todo);
  }
  const auto repeats = [&](const auto& list, const auto& item) {
    return std::find(list.begin(), list.end(), item) != list.end();
  };
  if (repeats(plan.placements, *placement) && placement->segment != dsp::Segment::other) {
    return dsp::fail("two straps are on this placement", dsp::to_string(*placement),
                     "give each strap its own");
  }
  for (const auto& strap : plan.straps) {
    if (strap.address == *address) {
      return dsp::fail("two straps at one address", address->text(), "give each strap its own");
    }
  }
  plan.placements.push_back(*placement);
  plan.straps.push_back({*address, dsp::to_string(*placement)});
  return {};
}

dsp::Result<void> check_placements(const RecordPlan& plan) {
  for (const dsp::Segment segment : plan.movement.required) {
    const bool worn = std::any_of(plan.placements.begin(), plan.placements.end(),
                                  [&](const auto& p) { return p.segment == segment; });
    if (worn) continue;
    const std::string name = dsp::to_string({segment, dsp::Side::middle});
    return dsp::fail(fmt::format("{} needs a strap on a {}", plan.movement.name, name), "--strap",
                     "add one, or record the movement free");
  }
  return {};
}

std::string file_word(const std::string& text) {
  const std::string word = slug(text);
  return word.empty() ? "set" : word;
}

dsp::Result<void> name_files(const RecordOptions& options, std::time_t now, RecordPlan& plan) {
  const auto& set = plan.notes.description;
  plan.output = options.output.empty()
                    ? fs::path(fmt::format("{}_{}_{:%Y%m%dT%H%M%SZ}.h5", file_word(set.client),
                                           file_word(plan.movement.name), fmt::gmtime(now)))
                    : fs::path(options.output);
  plan.journal = plan.output.string() + ".journal";
  std::error_code ignored;
  if (fs::exists(plan.output, ignored)) {
    return dsp::fail("the file exists", plan.output.string(), "choose another name");
  }
  if (fs::exists(plan.journal, ignored)) {
    return dsp::fail("the journal of an earlier recording is still there", plan.journal.string(),
                     "strapline recover makes the recording from it; then remove it");
  }
  const fs::path folder = plan.output.parent_path();
  if (!folder.empty() && !fs::is_directory(folder, ignored)) {
    return dsp::fail("there is no such folder", folder.string(), "make it first");
  }
  return {};
}

dsp::Result<void> check_entries(const SessionNotes& notes) {
  auto found = recordings::problems(notes.description);
  for (const auto& problem : recordings::problems(notes.body)) found.push_back(problem);
  if (!found.empty()) return tl::make_unexpected(found.front());
  return {};
}

/// The client's own spelling, and what was not typed, from the client's file where there is one.
dsp::Result<void> take_client(const RecordOptions& options, RecordPlan& plan) {
  auto& set = plan.notes.description;
  const fs::path clients = clients_folder(options.clients);
  const auto client = find_client(clients, set.client);
  if (!client) return tl::make_unexpected(client.error());
  if (!*client) return {};
  set.client = (*client)->name;
  if (set.kit.empty()) set.kit = (*client)->kit;
  for (const auto& [name, length] : coaching::kBodyLengths) {
    auto& typed = plan.notes.body.*length;
    if (!typed) typed = (*client)->body.*length;
  }
  if (options.logbook.empty()) plan.logbook = client_files(clients, set.client).logbook;
  return {};
}

}  // namespace

void add_record_options(CLI::App& command, RecordOptions& options) {
  command
      .add_option("--strap", options.straps,
                  "PLACEMENT=ADDRESS, repeated: left_thigh=/dev/ttyACM0, chest=tcp:host:port")
      ->required();
  command
      .add_option("--movement", options.notes.description.movement,
                  "Movement: squat; free for whatever repeats; or a file that describes one")
      ->type_name("NAME|FILE.toml")
      ->capture_default_str();
  add_set_options(command, options.notes.description);
  command.get_option("--client")->required();
  command.remove_option(command.get_option("--date"));  // it begins now
  add_body_options(command, options.notes.body);
  add_part_options(command, options.parts, "seconds since the first reading");
  command.add_option("--seconds", options.seconds, "Stop after so many seconds of readings")
      ->check(CLI::PositiveNumber);
  command.add_option("-o,--output", options.output,
                     "Recording to write (default: CLIENT_MOVEMENT_START.h5)");
  command.add_option("--logbook", options.logbook,
                     "Analyse the set and add it to this logbook [the client's, where set up]");
  add_clients_option(command, options.clients);
  command.add_option("--speed", options.speed, "How much faster than life virtual straps play")
      ->check(between(0.1, 1000.0))
      ->capture_default_str();
  command.add_flag("--json", options.json, "Print the summary as JSON and no live lines");
}

dsp::Result<RecordPlan> make_plan(const RecordOptions& options) {
  RecordPlan plan;
  plan.notes = options.notes;
  plan.seconds = options.seconds;
  plan.speed = options.speed;
  plan.logbook = options.logbook;
  if (auto good = take_client(options, plan); !good) return tl::make_unexpected(good.error());
  const std::time_t now = std::time(nullptr);
  plan.notes.description.started_utc = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
  if (auto good = check_entries(plan.notes); !good) return tl::make_unexpected(good.error());
  auto movement = coaching::load_movement(plan.notes.description.movement);
  if (!movement) return tl::make_unexpected(movement.error());
  plan.movement = std::move(*movement);
  plan.movement_source = plan.notes.description.movement;
  plan.notes.description.movement = plan.movement.name;
  plan.notes.parts = parse_parts(options.parts);
  if (auto good = check_parts(plan.notes.parts); !good) return tl::make_unexpected(good.error());
  for (const std::string& strap : options.straps) {
    if (auto added = add_strap(strap, plan); !added) return tl::make_unexpected(added.error());
  }
  if (auto good = check_placements(plan); !good) return tl::make_unexpected(good.error());
  if (auto good = name_files(options, now, plan); !good) return tl::make_unexpected(good.error());
  return plan;
}

}  // namespace strapline::cli
