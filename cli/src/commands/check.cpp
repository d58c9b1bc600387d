#include "strapline/recordings/check.hpp"

#include <fmt/format.h>

#include "strapline/acquisition/journal.hpp"
#include "strapline/recordings/file_kind.hpp"
#include "strapline/recordings/logbook.hpp"

#include "../command.hpp"
#include "../set_json.hpp"

namespace strapline::cli {
namespace {

using recordings::Finding;
using recordings::Severity;

/// What kind of file it is, and what was found.
struct Checked {
  std::string kind;
  std::vector<Finding> findings;
};

std::vector<Finding> check_logbook(const std::string& file) {
  const auto logbook = recordings::read_logbook(file);
  if (!logbook) return {{Severity::fault, logbook.error().line()}};
  std::size_t reps = 0;
  for (const recordings::LoggedSet& set : logbook->sets) reps += set.reps.size();
  return {{Severity::note, fmt::format("logbook of {}: {} sets, {} reps", logbook->client,
                                       logbook->sets.size(), reps)}};
}

void describe_journal(const acquisition::Journal& journal, std::vector<Finding>& findings) {
  std::size_t frames = 0;
  std::size_t straps = 0;
  for (const acquisition::JournalRecord& record : journal.records) {
    frames += record.kind == acquisition::JournalKind::kFrame ? 1U : 0U;
    straps += record.kind == acquisition::JournalKind::kStrap ? 1U : 0U;
  }
  findings.push_back(
      {Severity::note, fmt::format("journal of a session: {} straps, {} frames", straps, frames)});
}

std::vector<Finding> check_journal(const acquisition::Journal& journal) {
  std::vector<Finding> findings;
  describe_journal(journal, findings);
  if (!journal.ended) {
    findings.push_back({Severity::loss,
                        "the session was not ended in order: strapline recover makes a recording "
                        "of what there is"});
  }
  if (journal.torn_bytes > 0) {
    findings.push_back({Severity::loss, fmt::format("the last {} bytes are an unfinished record",
                                                    journal.torn_bytes)});
  }
  if (journal.damaged_bytes > 0) {
    findings.push_back({Severity::loss, fmt::format("{} bytes between whole records are damaged",
                                                    journal.damaged_bytes)});
  }
  return findings;
}

Checked check_other(const std::string& file) {
  const auto journal = acquisition::read_journal(file);
  if (journal) return {"journal", check_journal(*journal)};
  // Where it is a journal that cannot be read, its own reason says more than ours.
  if (journal.error().what != "this is not a journal") {
    return {"journal", {{Severity::fault, journal.error().line()}}};
  }
  const dsp::Failure failure{"not a recording, a logbook or a journal", file,
                             "give a file that this program wrote"};
  return {"unknown", {{Severity::fault, failure.line()}}};
}

Checked check_file(const std::string& file) {
  const auto kind = recordings::file_kind(file);
  if (!kind) return {"unknown", {{Severity::fault, kind.error().line()}}};
  switch (*kind) {
    case recordings::FileKind::recording:
      return {"recording", recordings::check_recording(file)};
    case recordings::FileKind::logbook:
      return {"logbook", check_logbook(file)};
    case recordings::FileKind::other:
      break;
  }
  return check_other(file);
}

const char* name_of(Severity severity) {
  switch (severity) {
    case Severity::note:
      return "note";
    case Severity::loss:
      return "loss";
    case Severity::fault:
      break;
  }
  return "fault";
}

Severity worst_of(const std::vector<Finding>& findings) {
  Severity worst = Severity::note;
  for (const Finding& finding : findings) worst = std::max(worst, finding.severity);
  return worst;
}

std::string verdict_of(Severity worst) {
  switch (worst) {
    case Severity::note:
      return "sound";
    case Severity::loss:
      return "sound, with losses";
    case Severity::fault:
      break;
  }
  return "damaged, or not ours";
}

void print_json(const std::string& file, const Checked& checked, Severity worst, Run& run) {
  nlohmann::ordered_json json;
  json["file"] = file;
  json["kind"] = checked.kind;
  json["verdict"] = name_of(worst);
  json["findings"] = nlohmann::ordered_json::array();
  for (const Finding& finding : checked.findings) {
    json["findings"].push_back({{"severity", name_of(finding.severity)}, {"text", finding.text}});
  }
  run.console.out << json_text(json);
}

/// Faults go to the error stream, as any failure does.
void print_lines(const std::string& file, const Checked& checked, Severity worst, Run& run) {
  for (const Finding& finding : checked.findings) {
    if (finding.severity == Severity::fault) continue;
    run.console.out << fmt::format("{}: {}\n", name_of(finding.severity), finding.text);
  }
  for (const Finding& finding : checked.findings) {
    if (finding.severity == Severity::fault) run.fail(finding.text);
  }
  if (worst != Severity::fault) run.console.out << file << ": " << verdict_of(worst) << '\n';
}

void check(const std::string& file, bool json, Run& run) {
  const Checked checked = check_file(file);
  const Severity worst = worst_of(checked.findings);
  if (json) {
    print_json(file, checked, worst, run);
  } else {
    print_lines(file, checked, worst, run);
  }
  run.status = worst == Severity::fault  ? kFailed
               : worst == Severity::loss ? kDoneWithLosses
                                         : kDone;
}

}  // namespace

void add_check(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "check", "Read a recording, logbook or journal to the end and say whether it is sound");
  const auto file = std::make_shared<std::string>();
  const auto json = std::make_shared<bool>(false);
  command->add_option("file", *file, "File to check")->required()->type_name("FILE");
  command->add_flag("--json", *json, "Print JSON");
  command->footer("Exit status: 0 sound, 1 damaged or not ours, 3 sound with losses.");
  command->callback([file, json, &run] { check(*file, *json, run); });
}

}  // namespace strapline::cli
