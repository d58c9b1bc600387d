#include <algorithm>
#include <system_error>

#include <fmt/format.h>

#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/validate.hpp"

#include "../clients_folder.hpp"
#include "../command.hpp"
#include "../set_cells.hpp"
#include "../set_json.hpp"
#include "../set_options.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;
using recordings::SetDescription;

struct Options {
  std::string file, logbook, client, clients;
  SetNotes notes;
  bool json = false;
};

/// The set as it was found, and where.
struct Found {
  SetDescription description;
  std::string set_id;
  bool recording = false;
  fs::path logbook;  ///< empty where there is none
};

dsp::Result<fs::path> logbook_path(const Options& options, const std::string& client) {
  if (!options.logbook.empty()) return fs::path(options.logbook);
  const fs::path clients = clients_folder(options.clients);
  const auto known = find_client(clients, client);
  if (!known) return tl::make_unexpected(known.error());
  if (!*known) return fs::path();
  const fs::path logbook = client_files(clients, client).logbook;
  std::error_code error;
  return fs::exists(logbook, error) ? logbook : fs::path();
}

/// Where the recording is gone: the entry that names it.
dsp::Result<Found> find_in_logbook(const Options& options) {
  const std::string todo =
      "check the name; for a recording that is gone, name --client or "
      "--logbook";
  if (options.logbook.empty() && options.client.empty()) {
    return dsp::fail("no such file", options.file, todo);
  }
  const auto path = logbook_path(options, options.client);
  if (!path) return tl::make_unexpected(path.error());
  if (path->empty())
    return dsp::fail("neither the recording nor a logbook is there", options.file, todo);
  const auto logbook = recordings::read_logbook(*path, recordings::LogbookPart{});
  if (!logbook) return tl::make_unexpected(logbook.error());
  const std::string name = fs::path(options.file).filename().string();
  const auto named = [&](const auto& set) { return set.file == name; };
  const auto count = std::count_if(logbook->sets.begin(), logbook->sets.end(), named);
  if (count != 1) {
    return dsp::fail(fmt::format("the recording is gone, and the logbook has {} of this name",
                                 count == 0 ? "no set" : fmt::format("{} sets", count)),
                     options.file, "strapline logbook lists them");
  }
  const auto set = std::find_if(logbook->sets.begin(), logbook->sets.end(), named);
  return Found{set->description, set->set_id, false, *path};
}

dsp::Result<Found> find_set(const Options& options) {
  std::error_code error;
  if (!fs::exists(options.file, error)) return find_in_logbook(options);
  const auto recording = recordings::read_recording(options.file);
  if (!recording) return tl::make_unexpected(recording.error());
  const auto logbook = logbook_path(options, recording->description.client);
  if (!logbook) return tl::make_unexpected(logbook.error());
  return Found{recording->description, recordings::set_id(*recording), true, *logbook};
}

/// What became of it: true where the logbook has the set and was changed.
dsp::Result<bool> keep(const Options& options, const Found& found) {
  if (found.recording) {
    const auto kept = recordings::rewrite_description(options.file, found.description);
    if (!kept) return tl::make_unexpected(kept.error());
  }
  if (found.logbook.empty()) return false;
  auto amended = recordings::amend_logbook(found.logbook, found.set_id, found.description);
  if (amended || !found.recording) return amended;
  return dsp::fail("noted in the recording, but not in the logbook: " + amended.error().line(),
                   options.file);
}

std::string where_kept(const Options& options, const Found& found, bool in_logbook) {
  const std::string logbook = found.logbook.string();
  if (!found.recording) {
    return fmt::format("noted in {} only: the recording {} is gone", logbook, options.file);
  }
  if (in_logbook) return fmt::format("noted in {} and {}", options.file, logbook);
  if (found.logbook.empty()) return fmt::format("noted in {}; no logbook is known", options.file);
  return fmt::format("noted in {}; it is not in {} yet", options.file, logbook);
}

std::string as_text(const SetDescription& set) {
  std::string text = fmt::format("{}, {}, {}, {}", coaching::format_load(set.load_kg),
                                 set.effort_rpe && set.reps_in_reserve
                                     ? coaching::format_effort(set.effort_rpe, {}) + ", " +
                                           coaching::format_effort({}, set.reps_in_reserve)
                                     : coaching::format_effort(set.effort_rpe, set.reps_in_reserve),
                                 coaching::format_pain(set.pain, set.pain_place), set.client);
  if (!set.notes.empty()) text += "\nnotes: " + set.notes;
  return text + "\n";
}

void note(const Options& options, Run& run) {
  if (options.notes.is_empty()) {
    return run.fail("nothing to note is named", options.file,
                    "say --rpe, --rir, --pain, --pain-place, --notes, --load or --forget");
  }
  auto found = find_set(options);
  if (!found) return run.fail(found.error());
  if (const auto taken = take(options.notes, found->description); !taken) {
    return run.fail(taken.error());
  }
  const auto wrong = recordings::problems(found->description);
  if (!wrong.empty()) return run.fail(wrong.front());
  const auto in_logbook = keep(options, *found);
  if (!in_logbook) return run.fail(in_logbook.error());
  if (!options.json) {
    run.console.out << as_text(found->description) << where_kept(options, *found, *in_logbook)
                    << '\n';
    return;
  }
  nlohmann::ordered_json json = {{"set", set_json(found->description)},
                                 {"in_recording", found->recording},
                                 {"in_logbook", *in_logbook}};
  run.console.out << json_text(json);
}

}  // namespace

void add_note(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "note", "Add or correct effort, pain and notes of a recorded set; readings never change");
  const auto options = std::make_shared<Options>();
  command->add_option("file", options->file, "Recording")->required()->type_name("FILE.h5");
  add_note_options(*command, options->notes);
  command->add_option("--logbook", options->logbook, "Logbook with the set [the client's]")
      ->type_name("LOGBOOK.h5");
  command->add_option("--client", options->client, "Whose set it is, where the recording is gone")
      ->type_name("NAME");
  add_clients_option(*command, options->clients);
  command->add_flag("--json", options->json, "Print JSON");
  command->callback([options, &run] { note(*options, run); });
}

}  // namespace strapline::cli
