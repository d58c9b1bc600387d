#include <filesystem>
#include <numbers>
#include <sstream>

#include <fmt/format.h>

#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"
#include "strapline/recordings/validate.hpp"

#include "../command.hpp"
#include "../option_range.hpp"
#include "../set_options.hpp"
#include "../text_file.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;

/// What was given on the command line; what was not leaves the simulator's value.
struct Options {
  std::string file, truth, movement = "squat", part;
  std::vector<std::string> placements, disturbances;
  double idle_minutes = 0.0;
  int desk_poses = 0, desk_turns = 0;
  std::uint64_t seed = 1;
  bool random = false, overwrite = false, orientations = false;
  std::optional<int> reps;
  std::optional<double> depth, knee_line, trunk_lean, toe_out, height;  // deg, cm, deg, deg, m
  std::optional<double> set_toe_out;                                    // deg
  std::optional<std::string> tempo;
  std::optional<double> elbow_turn, body_line;  // deg
  std::optional<double> tilt, twist, soft_tissue, rate;
  double traces_hz = 0.0;
  recordings::SetDescription set;
};

/// "3/1/1/0.5": lowering, bottom hold, lifting, top hold.
dsp::Result<synthetic::Tempo> parse_tempo(const std::string& text) {
  std::istringstream in(text);
  synthetic::Tempo tempo;
  char a = 0, b = 0, c = 0;
  in >> tempo.lowering >> a >> tempo.bottom_hold >> b >> tempo.lifting >> c >> tempo.top_hold;
  if (!in || a != '/' || b != '/' || c != '/' || in.peek() != EOF) {
    return dsp::fail("\"" + text + "\" is no tempo", "--tempo",
                     "give lowering/bottom hold/lifting/top hold in seconds, e.g. 2/0.5/1.5/1");
  }
  return tempo;
}

/// What every movement's set has.
template <class Params>
dsp::Result<void> set_common(const Options& options, Params& params) {
  params.seed = options.seed;
  params.description = options.set;
  params.description.started_utc = full_time(options.set.started_utc);
  if (options.reps) params.reps = *options.reps;
  if (options.height) params.body.height = *options.height;
  if (options.tempo) {
    const auto tempo = parse_tempo(*options.tempo);
    if (!tempo) return tl::make_unexpected(tempo.error());
    params.tempo = *tempo;
  }
  return {};
}

void set_own(const Options& options, synthetic::SquatSetParams& params) {
  using synthetic::cm, synthetic::deg;
  if (options.depth) params.depth = deg(*options.depth);
  if (options.knee_line) params.knee_line = {cm(*options.knee_line), cm(*options.knee_line)};
  if (options.trunk_lean) params.trunk_lean = deg(*options.trunk_lean);
  if (options.toe_out) params.stance.toe_out = {deg(*options.toe_out), deg(*options.toe_out)};
  if (!options.set_toe_out) return;
  const double anew = deg(*options.set_toe_out);
  params.restance.toe_out = {anew - params.stance.toe_out.left, anew - params.stance.toe_out.right};
}

void set_own(const Options& options, synthetic::OneLegSetParams& params) {
  using synthetic::cm, synthetic::deg;
  if (options.depth) params.depth = deg(*options.depth);
  if (options.knee_line) params.working.knee_line = cm(*options.knee_line);
  if (options.trunk_lean) params.trunk_lean = deg(*options.trunk_lean);
  if (options.toe_out) params.toe_out = {deg(*options.toe_out), deg(*options.toe_out)};
}

void set_own(const Options& options, synthetic::ArmSetParams& params) {
  using synthetic::deg;
  if (options.elbow_turn) params.elbow_turn = {deg(*options.elbow_turn), deg(*options.elbow_turn)};
  if (options.body_line) params.body_line = deg(*options.body_line);
}

dsp::Result<synthetic::SetParams> params_of(const Options& options) {
  auto params = options.random ? synthetic::random_params(options.movement, options.seed)
                               : synthetic::usual_params(options.movement);
  if (!params) return params;
  const auto set = std::visit(
      [&](auto& one) {
        set_own(options, one);
        return set_common(options, one);
      },
      *params);
  if (!set) return tl::make_unexpected(set.error());
  return params;
}

dsp::Result<synthetic::StrapSetup> setup_of(const Options& options,
                                            const synthetic::SetParams& params) {
  synthetic::StrapSetup setup = synthetic::usual_straps(params);
  setup.seed = options.seed;
  if (!options.part.empty()) setup.part = options.part;
  if (options.tilt) setup.max_tilt = synthetic::deg(*options.tilt);
  if (options.twist) setup.max_twist = synthetic::deg(*options.twist);
  if (options.rate) setup.rate_hz = *options.rate;
  setup.soft_tissue = synthetic::scaled(setup.soft_tissue, options.soft_tissue.value_or(1.0));
  if (!options.placements.empty()) setup.placements.clear();
  for (const std::string& name : options.placements) {
    const auto placement = recordings::parse_placement(name);
    if (!placement) return tl::make_unexpected(placement.error());
    setup.placements.push_back(*placement);
  }
  return setup;
}

/// Any movement, drawn, with one strap.
dsp::Result<synthetic::SyntheticSet> draw_free_set(const Options& options) {
  synthetic::FreeSet free = synthetic::random_free_set(options.seed);
  const auto common = std::visit([&](auto& one) { return set_common(options, one); }, free.params);
  if (!common) return tl::make_unexpected(common.error());
  auto setup = setup_of(options, free.params);
  if (!setup) return tl::make_unexpected(setup.error());
  if (options.placements.empty()) setup->placements = free.straps.placements;
  const auto disturbances = synthetic::parse_disturbances(options.disturbances);
  if (!disturbances) return tl::make_unexpected(disturbances.error());
  auto set = synthetic::synthesize_set(free.params, *setup,
                                       {options.traces_hz, options.orientations}, *disturbances);
  if (set) set->recording.description.movement = synthetic::kFree;
  return set;
}

std::vector<std::string> movement_choices() {
  std::vector<std::string> choices = synthetic::simulated_movements();
  choices.emplace_back(synthetic::kFree);
  return choices;
}

dsp::Result<synthetic::SyntheticSet> draw_set(const Options& options) {
  if (options.movement == synthetic::kFree) return draw_free_set(options);
  const auto params = params_of(options);
  if (!params) return tl::make_unexpected(params.error());
  const auto setup = setup_of(options, *params);
  if (!setup) return tl::make_unexpected(setup.error());
  if (options.desk_poses > 0) {
    auto desk =
        synthetic::synthesize_desk({options.seed, options.desk_poses, options.desk_turns}, *setup);
    if (desk) desk->recording.description.started_utc = full_time(options.set.started_utc);
    return desk;
  }
  if (options.idle_minutes > 0.0) {
    return synthetic::synthesize_idle({options.seed, options.movement, options.idle_minutes},
                                      *setup);
  }
  const auto disturbances = synthetic::parse_disturbances(options.disturbances);
  if (!disturbances) return tl::make_unexpected(disturbances.error());
  return synthetic::synthesize_set(*params, *setup, {options.traces_hz, options.orientations},
                                   *disturbances);
}

dsp::Result<synthetic::SyntheticSet> make_set(const Options& options) {
  auto set = draw_set(options);
  if (!set) return set;
  if (const auto valid = recordings::validate(set->recording); !valid) {
    return tl::make_unexpected(valid.error());
  }
  return set;
}

void synth(const Options& options, Run& run) {
  const auto set = make_set(options);
  if (!set) return run.fail(set.error());
  const auto written = recordings::write_recording(
      options.file, set->recording,
      options.overwrite ? recordings::Overwrite::yes : recordings::Overwrite::no);
  if (!written) return run.fail(written.error());
  const std::string truth = set->recording.truth_json + "\n";
  if (options.truth == "-") {
    run.console.out << truth;
    return;
  }
  run.console.out << fmt::format("wrote {}: {} reps, {} straps\n", options.file, set->reps.size(),
                                 set->recording.straps.size());
  if (options.truth.empty()) return;
  const auto kept = write_text(options.truth, truth);
  if (!kept) return run.fail(kept.error());
  run.console.out << "wrote " << options.truth << ": the truth\n";
}

void add_file_options(CLI::App& command, Options& options) {
  command.add_option("-o,--output", options.file, "The recording to write")
      ->required()
      ->type_name("FILE.h5");
  command.add_flag("--overwrite", options.overwrite, "Replace the file if there is one");
  command.add_option("--truth", options.truth, "Write the set's truth as JSON; - prints it alone")
      ->type_name("FILE.json");
  command
      .add_option("--truth-traces", options.traces_hz,
                  "Add the bones' angles over time, per second")
      ->check(between(0.0, 1000.0))
      ->type_name("HZ");
  command.add_flag("--truth-orientation", options.orientations,
                   "Add every sample's true time and each strap's orientation");
  command
      .add_option("--seed", options.seed, "Of everything that is drawn; the same gives the same")
      ->type_name("N")
      ->capture_default_str();
  command.add_flag("--random", options.random,
                   "Draw body, depth, tempo, knee line and all the rest; options given go first");
}

void add_movement_options(CLI::App& command, Options& options) {
  command.add_option("--movement", options.movement, "Movement")
      ->check(CLI::IsMember(movement_choices()))
      ->capture_default_str();
  command
      .add_option("--disturbances", options.disturbances,
                  "What else happens: all, or some of " +
                      fmt::format("{}", fmt::join(synthetic::disturbance_names(), ", ")))
      ->delimiter(',')
      ->type_name("A,B,…");
  command
      .add_option("--idle", options.idle_minutes,
                  "Instead of a set: so many minutes of walking, stairs, talking, strap handling")
      ->check(between(0.0, 60.0))
      ->type_name("MIN");
  command
      .add_option("--desk", options.desk_poses,
                  "Instead of a set: the straps lie on the desk in so many ways (see calibrate)")
      ->check(between(1, 100))
      ->type_name("POSES");
  command
      .add_option("--desk-turns", options.desk_turns,
                  "With --desk: then each is turned so many times round about each axis")
      ->check(between(0, 20))
      ->type_name("N");
  command.add_option("--reps", options.reps, "Reps [5]")->type_name("N");
  command
      .add_option("--depth", options.depth,
                  "Legs: thigh depth at the turn, degrees [squat 0: parallel]")
      ->type_name("DEG");
  command
      .add_option("--tempo", options.tempo,
                  "Seconds of lowering/bottom hold/lifting/top hold [2/0.3/1.2/1]")
      ->type_name("L/B/U/T");
  command
      .add_option("--knee-line", options.knee_line,
                  "Legs: knees off the toe line at the turn, cm, positive inwards [0]")
      ->type_name("CM");
  command
      .add_option("--trunk-lean", options.trunk_lean,
                  "Legs: trunk lean at the turn, degrees [squat 35]")
      ->type_name("DEG");
  command.add_option("--toe-out", options.toe_out, "Legs: toes turned out, degrees [squat 12]")
      ->type_name("DEG");
  command
      .add_option("--set-toe-out", options.set_toe_out,
                  "Squats: the feet are placed anew after the bends, with so much toe-out")
      ->type_name("DEG");
  command
      .add_option(
          "--elbow-turn", options.elbow_turn,
          "Direction of the elbows, arms: 0 towards the feet (overhead: forwards), 90 out [40]")
      ->type_name("DEG");
  command.add_option("--body-line", options.body_line, "Body line, arms: positive piked [0]")
      ->type_name("DEG");
  command.add_option("--height", options.height, "Body height, m [1.75]")->type_name("M");
}

void add_strap_options(CLI::App& command, Options& options) {
  command
      .add_option("--placements", options.placements,
                  "Straps worn [chest,pelvis,left_thigh,right_thigh,left_shank,right_shank]")
      ->delimiter(',')
      ->type_name("A,B,…");
  command.add_option("--tilt", options.tilt, "Largest tilt of a strap on the limb, degrees [10]")
      ->check(between(0.0, 90.0))
      ->type_name("DEG");
  command.add_option("--twist", options.twist, "Largest twist about the limb, degrees [45]")
      ->check(between(0.0, 180.0))
      ->type_name("DEG");
  command
      .add_option("--soft-tissue", options.soft_tissue,
                  "Factor on the soft tissue's movement [1; 0: rigid]")
      ->check(between(0.0, 10.0))
      ->type_name("F");
  command
      .add_option("--part", options.part,
                  "Sensor part: ideal, precise_2021, common_2019 or low_cost_2012 [common_2019]")
      ->type_name("NAME");
  command.add_option("--rate", options.rate, "Samples per second [104]")
      ->check(between(20.0, 2000.0))
      ->type_name("HZ");
}

}  // namespace

void add_synth(CLI::App& app, Run& run) {
  auto* command =
      app.add_subcommand("synth", "Make a synthetic recording whose true angles are known");
  const auto options = std::make_shared<Options>();
  add_file_options(*command, *options);
  add_movement_options(*command, *options);
  add_strap_options(*command, *options);
  add_set_options(*command, options->set);
  command->callback([options, &run] { synth(*options, run); });
}

}  // namespace strapline::cli
