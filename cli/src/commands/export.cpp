#include <filesystem>
#include <memory>

#include "strapline/recordings/recording_file.hpp"

#include "../command.hpp"
#include "../orientation_csv.hpp"
#include "../rep_csv.hpp"
#include "../reviewed_set.hpp"
#include "../text_file.hpp"

namespace strapline::cli {
namespace {

namespace fs = std::filesystem;

struct Options {
  std::string file, output, orientation, movement;
  bool angles = false, reps = false, overwrite = false;
};

dsp::Result<void> check_output(const Options& options) {
  std::error_code error;
  if (!fs::exists(options.output, error)) return {};
  if (fs::equivalent(options.output, options.file, error)) {
    return dsp::fail("this is the recording itself", options.output, "choose another name");
  }
  if (options.overwrite) return {};
  return dsp::fail("the file exists already", options.output,
                   "choose another name, or give --overwrite");
}

dsp::Result<std::string> csv_of(const Options& options) {
  if (options.angles || options.reps) {
    const auto set = review_file(options.file, options.movement);
    if (!set) return tl::make_unexpected(set.error());
    return options.angles ? angles_csv(set->analysis) : rep_csv(set->analysis);
  }
  const auto recording = recordings::read_recording(options.file);
  if (!recording) return tl::make_unexpected(recording.error());
  return orientation_csv(*recording, options.orientation == "streaming"
                                         ? OrientationKind::streaming
                                         : OrientationKind::smoothed);
}

void export_csv(const Options& options, Run& run) {
  const int asked =
      (options.angles ? 1 : 0) + (options.reps ? 1 : 0) + (options.orientation.empty() ? 0 : 1);
  if (asked != 1) return run.fail("give one of --orientation, --angles and --reps", "export");
  if (const auto free = check_output(options); !free) return run.fail(free.error());
  const auto csv = csv_of(options);
  if (!csv) return run.fail(csv.error());
  if (const auto done = write_text(options.output, *csv); !done) return run.fail(done.error());
  run.console.out << "wrote " << options.output << '\n';
}

}  // namespace

void add_export(CLI::App& app, Run& run) {
  auto* command =
      app.add_subcommand("export", "Orientations, angles or reps of a recording as CSV");
  const auto options = std::make_shared<Options>();
  command->add_option("file", options->file, "Recording, also one that `import` made")
      ->required()
      ->type_name("FILE.h5");
  command
      ->add_option("--orientation", options->orientation,
                   "placement,t,qw,qx,qy,qz: sensor to earth, z up, each strap's own heading")
      ->check(CLI::IsMember({"streaming", "smoothed"}));
  command->add_flag("--angles", options->angles, "t and every measured angle, degrees");
  command->add_flag("--reps", options->reps,
                    "Every measure of every rep with its cluster, and those of the set as a whole");
  command
      ->add_option("--movement", options->movement,
                   "With --angles or --reps: analyse as this movement, not as the recording's")
      ->type_name("NAME|FILE.toml");
  command->add_option("-o,--output", options->output, "The file to write")
      ->required()
      ->type_name("OUT.csv");
  command->add_flag("--overwrite,--force", options->overwrite, "Replace the file if there is one");
  command->callback([options, &run] { export_csv(*options, run); });
}

}  // namespace strapline::cli
