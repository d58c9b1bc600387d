#pragma once

#include <ostream>
#include <string>

#include <CLI/CLI.hpp>

#include "strapline/cli/program.hpp"
#include "strapline/dsp/failure.hpp"

namespace strapline::cli {

/// What a command's callback needs: where to write, and where to leave its status.
struct Run {
  Console console;
  int status = kDone;

  /// One line on the error stream; the command ends as failed.
  void fail(const dsp::Failure& failure) {
    console.err << "strapline: " << failure.line() << '\n';
    status = kFailed;
  }
  void fail(std::string what, std::string where = {}, std::string todo = {}) {
    fail(dsp::Failure{std::move(what), std::move(where), std::move(todo)});
  }
};

// One per command, each in a file of its own under commands/: declares the options and the
// callback.
void add_straps(CLI::App& app, Run& run);
void add_client(CLI::App& app, Run& run);
void add_aim(CLI::App& app, Run& run);
void add_record(CLI::App& app, Run& run);
void add_recover(CLI::App& app, Run& run);
void add_import(CLI::App& app, Run& run);
void add_review(CLI::App& app, Run& run);
void add_note(CLI::App& app, Run& run);
void add_compare(CLI::App& app, Run& run);
void add_plan(CLI::App& app, Run& run);
void add_next(CLI::App& app, Run& run);
void add_letter(CLI::App& app, Run& run);
void add_roster(CLI::App& app, Run& run);
void add_logbook(CLI::App& app, Run& run);
void add_check(CLI::App& app, Run& run);
void add_synth(CLI::App& app, Run& run);
void add_replay(CLI::App& app, Run& run);
void add_calibrate(CLI::App& app, Run& run);
void add_export(CLI::App& app, Run& run);
void add_verify(CLI::App& app, Run& run);

}  // namespace strapline::cli
