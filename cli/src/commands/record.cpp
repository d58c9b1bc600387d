#include <filesystem>
#include <iostream>
#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "strapline/cli/analysis.hpp"
#include "strapline/recordings/logbook.hpp"

#include "../calibration_folder.hpp"
#include "../command.hpp"
#include "../live/keep_recording.hpp"
#include "../live/recorder.hpp"
#include "../live/session_recording.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

/// A recording that was made, with all that is said about it.
struct Kept {
  const RecordPlan& plan;
  const SessionRecording& made;
  const RecordOutcome& outcome;
  bool journal_removed = false;
};

LiveView::Kind view_kind(const Console& console, bool json) {
  if (json) return LiveView::Kind::silent;
  const bool terminal = &console.out == &std::cout && ::isatty(STDOUT_FILENO) == 1;
  return terminal ? LiveView::Kind::terminal : LiveView::Kind::lines;
}

bool is_typed(const Console& console, const SessionNotes& notes) {
  const auto& parts = notes.parts;
  const bool timed = parts.still || parts.align || parts.set || parts.still_after;
  return !timed && &console.in == &std::cin && ::isatty(STDIN_FILENO) == 1;
}

double seconds_of(const recordings::Recording& recording) {
  double last = 0.0;
  for (const auto& strap : recording.straps) last = std::max(last, strap.t[strap.t.size() - 1]);
  return last;
}

nlohmann::json as_json(const Kept& kept) {
  const recordings::Recording& recording = kept.made.recording;
  nlohmann::json straps = nlohmann::json::array();
  for (const auto& strap : recording.straps) {
    straps.push_back(
        {{"placement", dsp::to_string(strap.placement)},
         {"readings", strap.t.size()},
         {"batches_lost", strap.link.lost},
         {"batches_resent", strap.link.resent},
         {"frames_corrupt", strap.link.corrupt},
         {"readings_dropped", strap.link.device_dropped},
         {"readings_saturated", strap.link.device_saturated},
         {"calibrated_utc",
          strap.calibration ? nlohmann::json(strap.calibration->made_utc) : nlohmann::json()}});
  }
  nlohmann::json parts = nlohmann::json::object();
  const auto add = [&](const char* name, const std::optional<dsp::Interval>& part) {
    if (part) parts[name] = {part->from_s, part->to_s};
  };
  add("still_s", recording.parts.still);
  add("align_s", recording.parts.align);
  add("set_s", recording.parts.set);
  add("still_after_s", recording.parts.still_after);
  std::vector<std::string> losses = kept.outcome.losses;
  losses.insert(losses.end(), kept.made.losses.begin(), kept.made.losses.end());
  nlohmann::json journal;
  if (!kept.journal_removed) journal = kept.plan.journal.string();
  return {{"file", kept.plan.output.string()},
          {"client", recording.description.client},
          {"movement", recording.description.movement},
          {"seconds", seconds_of(recording)},
          {"reps_live", kept.outcome.full_reps},
          {"part_reps_live", kept.outcome.part_reps},
          {"parts", parts},
          {"straps", straps},
          {"losses", losses},
          {"journal", journal}};
}

std::string as_text(const Kept& kept) {
  const recordings::Recording& recording = kept.made.recording;
  std::string text = fmt::format("\n{}: {:.1f} s, {} reps counted live", kept.plan.output.string(),
                                 seconds_of(recording), kept.outcome.full_reps);
  if (kept.outcome.part_reps > 0) text += fmt::format(" and {} part reps", kept.outcome.part_reps);
  text += '\n';
  for (const auto& strap : recording.straps) {
    text +=
        fmt::format("  {:<16} {:>7} readings, {} batches lost, {} resent, {} frames corrupt, {}\n",
                    dsp::to_string(strap.placement), strap.t.size(), strap.link.lost,
                    strap.link.resent, strap.link.corrupt, calibration_words(strap));
  }
  for (const std::string& note : kept.made.notes) text += "  " + note + '\n';
  const auto& parts = recording.parts;
  if (!parts.still && !parts.align && !parts.set) {
    text += "  no parts are marked: what needs the straps aligned will not be measured\n";
  }
  text += kept.journal_removed
              ? "  read back and complete; the journal was removed\n"
              : fmt::format("  the journal was kept: {}\n", kept.plan.journal.string());
  return text + fmt::format("  next: strapline review {}\n", kept.plan.output.string());
}

void fail_with_journal(Run& run, const RecordPlan& plan, const dsp::Failure& failure) {
  const std::string journal = plan.journal.string();
  run.fail(failure.what, failure.where,
           fmt::format("nothing that arrived is lost: strapline recover {}", journal));
}

void add_to_logbook(const Kept& kept, Run& run) {
  const recordings::Recording& recording = kept.made.recording;
  const auto blame = [&](const dsp::Failure& failure) {
    run.fail("the set is recorded but not in the logbook: " + failure.line(),
             kept.plan.logbook.string());
  };
  const auto analysis = analyse(recording, kept.plan.movement_source);
  if (!analysis) return blame(analysis.error());
  const auto added = recordings::append_to_logbook(
      kept.plan.logbook, recordings::make_logged_set(recording, kept.plan.output, *analysis));
  if (!added) return blame(added.error());
}

void keep(const RecordPlan& plan, const RecordOutcome& outcome, bool json, Run& run) {
  auto made = to_recording(*outcome.session, plan.notes, "live");
  if (!made) return fail_with_journal(run, plan, made.error());
  take_calibrations(calibration_folder(), made->recording, run.console.err);
  if (const auto written = keep_recording(plan.output, made->recording); !written) {
    return fail_with_journal(run, plan, written.error());
  }
  Kept kept{plan, *made, outcome};
  std::error_code error;
  kept.journal_removed = made->whole && fs::remove(plan.journal, error) && !error;
  run.console.out << (json ? as_json(kept).dump(2) + "\n" : as_text(kept));
  for (const std::string& loss : made->losses) run.console.err << "strapline: " << loss << '\n';
  const bool gone = !outcome.losses.empty();  // was said as it happened
  if (gone || !made->losses.empty()) run.status = kDoneWithLosses;
  if (!plan.logbook.empty()) add_to_logbook(kept, run);
}

void say_hello(const RecordPlan& plan, LiveView& view) {
  for (const std::string& caution : plan.movement.cautions) view.say("! " + caution);
  view.say(fmt::format("connecting to {} {}", plan.straps.size(),
                       plan.straps.size() == 1 ? "strap" : "straps"));
}

void record(const RecordOptions& options, Run& run) {
  const auto plan = make_plan(options);
  if (!plan) return run.fail(plan.error());
  LiveView view(run.console.out, run.console.err, view_kind(run.console, options.json));
  say_hello(*plan, view);
  const RecordOutcome outcome = record_session(*plan, is_typed(run.console, plan->notes), view);
  if (outcome.session) return keep(*plan, outcome, options.json, run);
  const acquisition::Failure& why = outcome.session.error();
  if (outcome.began) return fail_with_journal(run, *plan, {why.what, why.where, why.todo});
  std::error_code ignored;
  if (outcome.journal_made) fs::remove(plan->journal, ignored);  // no strap streamed: it is empty
  run.fail(why.what, why.where, why.todo);
}

}  // namespace

void add_record(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("record", "Record a set from straps");
  const auto options = std::make_shared<RecordOptions>();
  add_record_options(*command, *options);
  command->callback([options, &run] { record(*options, run); });
}

}  // namespace strapline::cli
