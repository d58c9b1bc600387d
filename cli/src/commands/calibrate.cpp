#include <cmath>
#include <filesystem>
#include <memory>
#include <numbers>

#include <fmt/format.h>

#include "strapline/recordings/calibration_store.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "../calibration_folder.hpp"
#include "../command.hpp"
#include "../live/keep_recording.hpp"
#include "../live/recorder.hpp"
#include "../live/session_recording.hpp"
#include "../option_range.hpp"

namespace strapline::cli {
namespace {

using recordings::StoredCalibration;

struct Options {
  std::string file, address, recording, folder, made_utc;
  std::optional<double> gravity, latitude;
  int turns = 0;
  double seconds = 120.0, speed = 1.0;
  bool list = false, dry = false;
};

constexpr const char* kGuide =
    "> Lay the strap on a level table. Then hold it still for three seconds in each of at least\n"
    "  nine ways: on all six sides, against an edge or a wall, and tilted in between.\n";
constexpr const char* kTurnGuide =
    "> Then, for each axis: hold still, turn it {} about that axis along an edge, back to the\n"
    "  same place, hold still.\n";

std::string line_of(const StoredCalibration& stored) {
  const dsp::StrapCalibration& c = stored.calibration.values;
  return fmt::format(
      "strap {:016x}: calibrated {}, {} poses, {}, specific force within {:.3f} "
      "m/s2 of gravity\n",
      stored.device_id, stored.calibration.made_utc.substr(0, 10), c.poses,
      c.turns > 0 ? fmt::format("{} turns", c.turns) : "no turns", c.residual_after);
}

std::string details_of(const StoredCalibration& stored) {
  constexpr double kDegree = std::numbers::pi / 180.0;
  const dsp::StrapCalibration& c = stored.calibration.values;
  std::string text = line_of(stored);
  text += fmt::format(
      "  RMS of specific force less gravity ({:.4f} m/s2): {:.4f} before, {:.4f} "
      "m/s2 after\n",
      c.gravity, c.residual_before, c.residual_after);
  for (Eigen::Index i = 0; i < 3; ++i) {
    text += fmt::format(
        "  {}: accelerometer scale {:.4f} ± {:.4f}, offset {:+.3f} ± {:.3f} m/s2; "
        "gyroscope offset {:+.3f} ± {:.3f} °/s",
        "xyz"[i], c.acc.gain(i, i), c.acc.gain_u(i, i), c.acc.offset[i], c.acc.offset_u[i],
        c.gyr.offset[i] / kDegree, c.gyr.offset_u[i] / kDegree);
    if (c.turns > 0)
      text += fmt::format(", scale {:.4f} ± {:.4f}", c.gyr.gain(i, i), c.gyr.gain_u(i, i));
    text += '\n';
  }
  if (!c.skew_seen) {
    text += "  the poses do not tell the skew of the axes: add tilted ones to learn that too\n";
  }
  return text;
}

void list(const std::filesystem::path& folder, Run& run) {
  const recordings::CalibrationList all = recordings::list_calibrations(folder);
  for (const StoredCalibration& stored : all.found) run.console.out << line_of(stored);
  if (all.found.empty() && all.broken.empty()) {
    run.console.out << "no strap is calibrated (" << folder.string() << ")\n";
  }
  for (const dsp::Failure& failure : all.broken) run.fail(failure);
}

dsp::CalibrationOptions fit_options(const Options& options) {
  dsp::CalibrationOptions fit;
  if (options.latitude) {
    fit.gravity = dsp::normal_gravity(*options.latitude * std::numbers::pi / 180.0);
  }
  if (options.gravity) fit.gravity = *options.gravity;
  fit.turn_angle = 2.0 * std::numbers::pi * options.turns;
  return fit;
}

void calibrate_straps(const Options& options, const recordings::Recording& recording,
                      const std::string& file, Run& run) {
  for (recordings::StrapRecord strap : recording.straps) {
    strap.calibration.reset();  // from the readings as they are
    const auto made = dsp::calibrate(recordings::to_series(strap).data, fit_options(options));
    const std::string where = file + ": " + dsp::to_string(strap.placement);
    if (!made) {
      run.fail(made.error().what, where, made.error().todo);
      continue;
    }
    const StoredCalibration stored{strap.device_id, {recording.description.started_utc, *made}};
    run.console.out << details_of(stored);
    if (options.dry) continue;
    const auto folder = calibration_folder(options.folder);
    const auto kept = recordings::store_calibration(folder, stored);
    if (!kept) {
      run.fail(kept.error());
      continue;
    }
    run.console.out << "  kept in "
                    << recordings::calibration_file(folder, strap.device_id).string() << '\n';
  }
}

/// Records the strap at the desk into a file, which the calibration then comes from.
dsp::Result<std::string> record_desk(const Options& options, Run& run) {
  RecordOptions wanted;
  wanted.straps = {"other=" + options.address};
  wanted.notes.description.client = "calibration";
  wanted.notes.description.movement = "free";
  wanted.output = options.recording;
  wanted.seconds = options.seconds;
  wanted.speed = options.speed;
  const auto plan = make_plan(wanted);
  if (!plan) return tl::make_unexpected(plan.error());
  run.console.out << kGuide;
  if (options.turns > 0) {
    run.console.out << fmt::format(kTurnGuide, options.turns == 1
                                                   ? std::string("once round")
                                                   : fmt::format("{} times round", options.turns));
  }
  LiveView view(run.console.out, run.console.err, LiveView::Kind::silent);
  const RecordOutcome outcome = record_session(*plan, false, view);
  if (!outcome.session) {
    const acquisition::Failure& why = outcome.session.error();
    if (outcome.began) {
      return dsp::fail(why.what, why.where, "strapline recover " + plan->journal.string());
    }
    std::error_code ignored;
    if (outcome.journal_made) std::filesystem::remove(plan->journal, ignored);
    return dsp::fail(why.what, why.where, why.todo);
  }
  const auto made = to_recording(*outcome.session, plan->notes, "live");
  if (!made) return tl::make_unexpected(made.error());
  const auto kept = keep_recording(plan->output, made->recording);
  if (!kept) return tl::make_unexpected(kept.error());
  std::error_code ignored;
  if (made->whole) std::filesystem::remove(plan->journal, ignored);
  return plan->output.string();
}

void calibrate(const Options& options, Run& run) {
  if (options.list) return list(calibration_folder(options.folder), run);
  if (options.file.empty() == options.address.empty()) {
    return run.fail("give a recording, or --strap ADDRESS, or --list", "calibrate");
  }
  std::string file = options.file;
  if (!options.address.empty()) {
    const auto recorded = record_desk(options, run);
    if (!recorded) return run.fail(recorded.error());
    file = *recorded;
  }
  const auto recording = recordings::read_recording(file);
  if (!recording) return run.fail(recording.error());
  calibrate_straps(options, *recording, file, run);
}

void add_source_options(CLI::App& command, Options& options) {
  command.add_option("file", options.file, "Recording of a strap held still in many poses")
      ->type_name("FILE.h5");
  command.add_option("--strap", options.address, "Record at the desk from this strap")
      ->type_name("ADDRESS");
  command.add_option("--seconds", options.seconds, "With --strap: how long (Ctrl-C ends it too)")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command.add_option("--recording", options.recording, "With --strap: where its recording goes")
      ->type_name("OUT.h5");
  command.add_option("--speed", options.speed, "How much faster than life a virtual strap plays")
      ->check(between(0.1, 1000.0));
  command.add_flag("--list", options.list, "List the calibrations that are kept");
}

}  // namespace

void add_calibrate(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("calibrate", "Calibrate a strap at the desk");
  const auto options = std::make_shared<Options>();
  add_source_options(*command, *options);
  auto* gravity = command
                      ->add_option("--gravity", options->gravity,
                                   "Gravity at the desk, m/s2 (standard gravity: 9.80665)")
                      ->check(between(9.7, 9.9));
  command
      ->add_option("--latitude", options->latitude,
                   "Take the WGS 84 normal gravity at this latitude, degrees")
      ->check(between(-90.0, 90.0))
      ->excludes(gravity);
  command
      ->add_option("--turns", options->turns,
                   "The strap was turned so many times round about each axis, between still poses: "
                   "gives the gyroscope's scale")
      ->check(between(0, 20));
  command->add_option("--folder", options->folder, "Where calibrations are kept")
      ->type_name("FOLDER");
  command->add_flag("--dry-run", options->dry, "Print the calibration and keep nothing");
  command->callback([options, &run] { calibrate(*options, run); });
}

}  // namespace strapline::cli
