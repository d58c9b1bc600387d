#include <fmt/format.h>

#include "strapline/coaching/movement.hpp"
#include "strapline/recordings/import_csv.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/validate.hpp"

#include "../command.hpp"
#include "../part_options.hpp"
#include "../set_options.hpp"

namespace strapline::cli {
namespace {

struct Options {
  std::string file;
  std::vector<std::string> sensors;
  std::string acc_unit = "m/s2", gyr_unit = "rad/s", time_unit = "s";
  std::optional<double> rate;
  PartOptions parts;
  bool overwrite = false;
  recordings::Recording frame;
};

/// "PLACEMENT=FILE".
dsp::Result<recordings::SensorFile> parse_sensor(const std::string& text) {
  const std::size_t sign = text.find('=');
  if (sign == std::string::npos || sign == 0 || sign + 1 == text.size()) {
    throw CLI::ValidationError("--sensor", "\"" + text + "\" is not PLACEMENT=FILE.csv");
  }
  const auto placement = recordings::parse_placement(text.substr(0, sign));
  if (!placement) {
    return dsp::fail(placement.error().what, "--sensor", placement.error().todo);
  }
  return recordings::SensorFile{*placement, text.substr(sign + 1)};
}

template <class Unit>
dsp::Result<void> take_unit(const std::string& option, const dsp::Result<Unit>& unit,
                            Unit& target) {
  if (!unit) return dsp::fail(unit.error().what, option, unit.error().todo);
  target = *unit;
  return {};
}

dsp::Result<recordings::CsvOptions> csv_options(const Options& options) {
  recordings::CsvOptions csv;
  csv.rate_hz = options.rate;
  const auto acc =
      take_unit("--acc-unit", recordings::acceleration_unit_from_string(options.acc_unit), csv.acc);
  if (!acc) return tl::make_unexpected(acc.error());
  const auto gyr =
      take_unit("--gyr-unit", recordings::rate_unit_from_string(options.gyr_unit), csv.gyr);
  if (!gyr) return tl::make_unexpected(gyr.error());
  const auto time =
      take_unit("--time-unit", recordings::time_unit_from_string(options.time_unit), csv.time);
  if (!time) return tl::make_unexpected(time.error());
  return csv;
}

/// What was entered, checked as far as it can be without the data.
dsp::Result<recordings::Recording> frame_of(const Options& options) {
  recordings::Recording frame = options.frame;
  frame.parts = parse_parts(options.parts);
  const auto movement = coaching::load_movement(frame.description.movement);
  if (!movement) return tl::make_unexpected(movement.error());
  frame.description.movement = movement->name;
  if (frame.description.client.empty()) frame.description.client = "unnamed client";
  frame.description.started_utc = full_time(frame.description.started_utc);
  for (const auto& found :
       {recordings::problems(frame.description), recordings::problems(frame.body)}) {
    if (!found.empty()) return tl::make_unexpected(found.front());
  }
  return frame;
}

dsp::Result<recordings::ImportedSet> import_set(const Options& options) {
  const auto frame = frame_of(options);
  if (!frame) return tl::make_unexpected(frame.error());
  const auto csv = csv_options(options);
  if (!csv) return tl::make_unexpected(csv.error());
  std::vector<recordings::SensorFile> files;
  for (const std::string& sensor : options.sensors) {
    const auto file = parse_sensor(sensor);
    if (!file) return tl::make_unexpected(file.error());
    files.push_back(*file);
  }
  return recordings::import_recording(files, *csv, *frame);
}

void report(const recordings::ImportedSet& set, Run& run) {
  for (std::size_t i = 0; i < set.reports.size(); ++i) {
    const recordings::StrapRecord& strap = set.recording.straps[i];
    const std::string name = dsp::to_string(strap.placement);
    const Eigen::Index n = strap.t.size();
    run.console.out << fmt::format("{}: {} samples in {:.2f} s, {:.4g} Hz\n", name, n,
                                   strap.t[n - 1] - strap.t[0], strap.rate_hz);
    for (const std::string& note : set.reports[i].notes) {
      run.console.err << fmt::format("strapline: {}: {}\n", set.reports[i].file.string(), note);
    }
    if (set.reports[i].dropped > 0) run.status = kDoneWithLosses;
  }
}

void import(const Options& options, Run& run) {
  const auto set = import_set(options);
  if (!set) return run.fail(set.error());
  const auto written = recordings::write_recording(
      options.file, set->recording,
      options.overwrite ? recordings::Overwrite::yes : recordings::Overwrite::no);
  if (!written) return run.fail(written.error());
  report(*set, run);
  run.console.out << "wrote " << options.file << '\n';
}

void add_file_options(CLI::App& command, Options& options) {
  command
      .add_option("--sensor", options.sensors,
                  "One strap's file with the columns t,ax,ay,az,gx,gy,gz; once per strap. `other` "
                  "is any place that has no name here")
      ->required()
      ->take_all()
      ->type_name("PLACEMENT=FILE.csv");
  command.add_option("-o,--output", options.file, "The recording to write")
      ->required()
      ->type_name("FILE.h5");
  command.add_flag("--overwrite", options.overwrite, "Replace the file if there is one");
  command.add_option("--acc-unit", options.acc_unit, "Unit of ax, ay, az: m/s2, g or mg")
      ->type_name("UNIT")
      ->capture_default_str();
  command.add_option("--gyr-unit", options.gyr_unit, "Unit of gx, gy, gz: rad/s, deg/s or mdeg/s")
      ->type_name("UNIT")
      ->capture_default_str();
  command.add_option("--time-unit", options.time_unit, "Unit of t: s, ms or us")
      ->type_name("UNIT")
      ->capture_default_str();
  command.add_option("--rate", options.rate, "Samples per second, where there is no column t")
      ->type_name("HZ");
}

}  // namespace

void add_import(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand("import", "Make a recording from CSV files, one per strap");
  const auto options = std::make_shared<Options>();
  add_file_options(*command, *options);
  command
      ->add_option("--movement", options->frame.description.movement,
                   "Movement: squat; free for whatever repeats; or a file that describes one")
      ->type_name("NAME|FILE.toml")
      ->capture_default_str();
  add_part_options(*command, options->parts, "seconds of the files' own time");
  add_set_options(*command, options->frame.description);
  add_body_options(*command, options->frame.body);
  command->callback([options, &run] { import(*options, run); });
}

}  // namespace strapline::cli
