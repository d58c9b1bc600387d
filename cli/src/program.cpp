#include "strapline/cli/program.hpp"

#include <algorithm>
#include <exception>

#include "command.hpp"

namespace strapline::cli {
namespace {

constexpr const char* kFooter =
    "Stop a set on pain. This program gives no medical advice: for pain or doubt, see a licensed "
    "professional; local rules come first.";

void add_commands(CLI::App& app, Run& run) {
  app.require_subcommand(1);
  app.footer(kFooter);
  add_straps(app, run);
  add_calibrate(app, run);
  add_client(app, run);
  add_aim(app, run);
  add_record(app, run);
  add_recover(app, run);
  add_replay(app, run);
  add_import(app, run);
  add_review(app, run);
  add_export(app, run);
  add_note(app, run);
  add_compare(app, run);
  add_plan(app, run);
  add_next(app, run);
  add_letter(app, run);
  add_roster(app, run);
  add_logbook(app, run);
  add_check(app, run);
  add_synth(app, run);
  add_verify(app, run);
}

}  // namespace

int run_program(const std::vector<std::string>& arguments, Console console) {
  Run run{console, kDone};
  CLI::App app(
      "Record sets with strap-on sensors, review them rep by rep, compare range over weeks.",
      "strapline");
  add_commands(app, run);
  try {
    std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
    app.parse(std::move(reversed));
  } catch (const CLI::Success& help) {
    return app.exit(help, console.out, console.err);
  } catch (const CLI::ParseError& error) {
    console.err << "strapline: " << error.what() << "; see strapline --help\n";
    return kUsage;
  } catch (const std::exception& error) {
    console.err << "strapline: " << error.what() << '\n';
    return kFailed;
  }
  return run.status;
}

}  // namespace strapline::cli
