#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "../calibration_folder.hpp"
#include "../command.hpp"
#include "../live/keep_recording.hpp"
#include "../live/session_recording.hpp"

namespace strapline::cli {
namespace {

struct Options {
  std::string journal;
  std::string output;
};

/// "x.h5.journal" came from a recording that was to be "x.h5".
std::string default_output(const std::string& journal) {
  const std::filesystem::path path(journal);
  std::filesystem::path base =
      path.extension() == ".journal" ? path.parent_path() / path.stem() : path;
  if (base.extension() != ".h5") base += ".h5";
  return base.string();
}

SessionNotes notes_of(const acquisition::SessionResult& session, std::ostream& err,
                      const std::string& journal) {
  if (auto notes = notes_from_json(session.metadata)) return *notes;
  err << "strapline: " << journal << ": does not say whose set it is; the client is \"unknown\"\n";
  SessionNotes notes;
  notes.description.client = "unknown";
  return notes;
}

void recover(const Options& options, Run& run) {
  const auto session = acquisition::assemble_from_journal(options.journal);
  if (!session) {
    return run.fail(session.error().what, session.error().where, session.error().todo);
  }
  auto made =
      to_recording(*session, notes_of(*session, run.console.err, options.journal), "recovered");
  if (!made) return run.fail(made.error().what, options.journal, "there is nothing to recover");
  take_calibrations(calibration_folder(), made->recording, run.console.err);
  const std::string output =
      options.output.empty() ? default_output(options.journal) : options.output;
  if (const auto kept = keep_recording(output, made->recording); !kept) {
    return run.fail(kept.error());
  }
  auto& out = run.console.out;
  out << output << ": recovered\n";
  for (const auto& strap : made->recording.straps) {
    out << fmt::format("  {:<16} {} readings over {:.1f} s\n", dsp::to_string(strap.placement),
                       strap.t.size(), strap.t[strap.t.size() - 1] - strap.t[0]);
  }
  if (!session->ended) out << "  the recording was cut off; all that arrived before is here\n";
  for (const std::string& note : made->notes) out << "  " << note << '\n';
  out << "  " << options.journal << " was left as it is; remove it when you need it no longer\n";
  for (const std::string& loss : made->losses) run.console.err << "strapline: " << loss << '\n';
  if (!made->losses.empty()) run.status = kDoneWithLosses;
}

}  // namespace

void add_recover(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("recover", "Make the recording from a journal after a crash");
  const auto options = std::make_shared<Options>();
  command->add_option("journal", options->journal, "The journal that record left behind")
      ->required();
  command->add_option("-o,--output", options->output,
                      "Recording to write (default: the journal's name without .journal)");
  command->callback([options, &run] { recover(*options, run); });
}

}  // namespace strapline::cli
