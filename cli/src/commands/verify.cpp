#include <algorithm>
#include <cstdlib>
#include <map>
#include <numbers>
#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/cli/change_study.hpp"
#include "strapline/cli/synthetic_study.hpp"
#include "strapline/recordings/synthetic/set_choice.hpp"
#include "strapline/recordings/synthetic/strap_setup.hpp"

#include "../change_study_table.hpp"
#include "../command.hpp"
#include "../option_range.hpp"
#include "../reference/published_table.hpp"
#include "../reference/rep_study.hpp"

namespace strapline::cli {
namespace {

using reference::ReferenceRow;

constexpr const char* kAll = "all";
constexpr double kUsualStanding = 1.5;  // degrees; what the simulator draws by itself
constexpr double kUsualBends = 0.6;     // cm

struct Options {
  StudyOptions study;
  std::string folder;
  double tilt_deg = 15.0, standing_deg = kUsualStanding, bends_cm = kUsualBends;
  std::optional<double> thigh_deg, shank_deg;
  bool json = false;
  bool reps = false;
  bool changes = false;
  int logbooks = 2000;
  std::string disturbances;
  double idle_minutes = 0.0;
};

std::string data_folder(const std::string& given) {
  if (!given.empty()) return given;
  const char* variable = std::getenv("STRAPLINE_DATA");
  return variable != nullptr ? variable : "../shared/data";
}

std::string counts(const StudyResult& result, const std::string& movement) {
  std::string text =
      fmt::format("{} synthetic {} sets with known truth, {} full reps: rep count exact in {}\n",
                  result.sets, movement, result.reps, result.sets_with_exact_count);
  text += fmt::format("  part reps: {} of {} found, {} false; {} reps missed, {} invented\n",
                      result.part_found, result.part_reps, result.part_false, result.missed,
                      result.invented);
  if (result.doubtful > 0) {
    text += fmt::format("  {} reps turn their strap by about half: full or part, either is right\n",
                        result.doubtful);
  }
  if (result.sided > 0) {
    text +=
        fmt::format("  side of the leg: wrong in {} of {} reps\n", result.wrong_side, result.sided);
  }
  for (const std::string& failure : result.failures) text += fmt::format("  failed: {}\n", failure);
  if (!result.wrong_counts.empty()) {
    text += fmt::format("  wrong count with seed {}\n", fmt::join(result.wrong_counts, ", "));
  }
  return text;
}

std::string table(const StudyResult& result, const std::string& movement) {
  std::string text = counts(result, movement);
  text += fmt::format("{:<28} {:>5} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8}  {}\n", "measure", "n",
                      "bias", "RMSE", "mean |e|", "worst", "stated u", "in 95 %", "unit");
  for (const auto& [name, e] : result.errors) {
    // A border has no uncertainty of its own in the result: the durations carry it.
    const bool stated = name != "border_s";
    text += fmt::format("{:<28} {:>5} {:>8.3f} {:>8.3f} {:>8.3f} {:>8.2f} {:>8} {:>8}  {}\n", name,
                        e.n, e.bias, e.rmse, e.mean_abs, e.worst,
                        stated ? fmt::format("{:.3f}", e.stated_u) : "-",
                        stated ? fmt::format("{:.1f}", 100.0 * e.coverage95) : "-", e.unit);
  }
  return text;
}

nlohmann::json as_json(const LiveAgreement& live) {
  return {{"sets", live.sets},
          {"same_count", live.same_count},
          {"reps", live.reps},
          {"agreed", live.agreed},
          {"missed", live.missed},
          {"other_kind", live.other_kind},
          {"extra", live.extra},
          {"twice", live.twice},
          {"corrections", live.corrections},
          {"taken_back", live.taken_back},
          {"latency_median_s", live.latency(0.5)},
          {"latency_95_s", live.latency(0.95)}};
}

nlohmann::json as_json(const StudyResult& result) {
  nlohmann::json errors;
  for (const auto& [name, e] : result.errors) {
    errors[name] = {{"unit", e.unit},
                    {"n", e.n},
                    {"missing", e.missing},
                    {"bias", e.bias},
                    {"rmse", e.rmse},
                    {"mean_abs", e.mean_abs},
                    {"worst", e.worst},
                    {"stated_u", e.stated_u},
                    {"coverage95", e.coverage95}};
  }
  return {{"sets", result.sets},
          {"exact", result.sets_with_exact_count},
          {"reps", result.reps},
          {"wrong_count_seeds", result.wrong_counts},
          {"part_reps", result.part_reps},
          {"part_found", result.part_found},
          {"doubtful", result.doubtful},
          {"part_false", result.part_false},
          {"missed", result.missed},
          {"invented", result.invented},
          {"wrong_side", result.wrong_side},
          {"failures", result.failures},
          {"live", result.live.sets > 0 ? as_json(result.live) : nlohmann::json()},
          {"errors", errors}};
}

/// Largest mean size of the error of a phase's duration, s.
double worst_phase(const StudyResult& result) {
  double worst = 0.0;
  for (const char* phase : {"lowering_s", "bottom_hold_s", "lifting_s", "top_hold_s"}) {
    const auto found = result.errors.find(phase);
    if (found != result.errors.end()) worst = std::max(worst, found->second.mean_abs);
  }
  return worst;
}

/// One line per movement.
std::string overview(const std::map<std::string, StudyResult>& studies) {
  constexpr double kMilli = 1000.0;
  std::string text = fmt::format("\n{:<16} {:>5} {:>6} {:>11} {:>6} {:>7} {:>9} {:>11} {:>11}\n",
                                 "movement", "sets", "exact", "part found", "false", "missed",
                                 "invented", "border, ms", "phase, ms");
  for (const auto& [movement, r] : studies) {
    const auto border = r.errors.find("border_s");
    text += fmt::format("{:<16} {:>5} {:>6} {:>5} of {:>2} {:>6} {:>7} {:>9} {:>11.0f} {:>11.0f}\n",
                        movement, r.sets, r.sets_with_exact_count, r.part_found, r.part_reps,
                        r.part_false, r.missed, r.invented,
                        border == r.errors.end() ? 0.0 : kMilli * border->second.mean_abs,
                        kMilli * worst_phase(r));
  }
  return text + "border, phase: mean size of the error; phase: of the worst of the four\n";
}

/// How the live count agrees with the analysis after the set, a row of each movement.
std::string live_table(const std::map<std::string, StudyResult>& studies) {
  constexpr double kMilli = 1000.0;
  std::string text =
      fmt::format("\n{:<16} {:>5} {:>6} {:>5} {:>8} {:>6} {:>5} {:>5} {:>5} {:>11} {:>9} {:>13}\n",
                  "live count", "sets", "same n", "reps", "agree, %", "missed", "kind", "extra",
                  "twice", "corrections", "median ms", "95th pct. ms");
  for (const auto& [movement, r] : studies) {
    const LiveAgreement& l = r.live;
    text += fmt::format(
        "{:<16} {:>5} {:>6} {:>5} {:>8.2f} {:>6} {:>5} {:>5} {:>5} {:>11} {:>9.0f} {:>13.0f}\n",
        movement, l.sets, l.same_count, l.reps, 100.0 * l.share(), l.missed, l.other_kind, l.extra,
        l.twice, l.corrections, kMilli * l.latency(0.5), kMilli * l.latency(0.95));
  }
  return text +
         "against the analysis after the set; kind: full against part; twice: told again while the "
         "first telling stood; ms: told after the rep closed\n";
}

std::string idle_lines(const std::vector<IdleOutcome>& rows) {
  std::string text;
  for (const IdleOutcome& row : rows) {
    text += row.failure.empty()
                ? fmt::format(
                      "{:.0f} min of everyday movement, {} expected: {} reps and {} part "
                      "reps counted\n",
                      row.minutes, row.expected, row.counted, row.part_counted)
                : fmt::format("everyday movement, {} expected: {}\n", row.expected, row.failure);
    if (!row.live) continue;
    text += fmt::format("  live: {} told and not taken back, {} told and taken back\n",
                        row.live->extra, row.live->taken_back);
  }
  return text;
}

/// What was measured against synthetic truth.
struct Synthetic {
  std::map<std::string, StudyResult> sets;  ///< by movement
  std::vector<IdleOutcome> idle;
};

Synthetic run_synthetic(const Options& options) {
  Synthetic result;
  std::vector<std::string> movements{options.study.movement};
  if (options.study.movement == kAll) {
    movements = recordings::synthetic::simulated_movements();
    movements.emplace_back(recordings::synthetic::kFree);
  }
  for (const std::string& movement : movements) {
    StudyOptions one = options.study;
    one.movement = movement;
    result.sets[movement] = run_synthetic_study(one);
  }
  if (options.idle_minutes > 0.0) {
    result.idle = run_idle_study(options.study, options.idle_minutes);
  }
  return result;
}

nlohmann::json as_json(const Synthetic& synthetic) {
  nlohmann::json json;
  if (synthetic.sets.size() == 1) {
    json = as_json(synthetic.sets.begin()->second);
  } else {
    for (const auto& [movement, study] : synthetic.sets)
      json["movements"][movement] = as_json(study);
  }
  for (const IdleOutcome& row : synthetic.idle) {
    json["idle"].push_back({{"expected", row.expected},
                            {"minutes", row.minutes},
                            {"counted", row.counted},
                            {"part_counted", row.part_counted},
                            {"live", row.live ? as_json(*row.live) : nlohmann::json()},
                            {"failure", row.failure}});
  }
  return json;
}

void print(Run& run, const Options& options, const std::vector<ReferenceRow>& rows,
           const Synthetic& synthetic) {
  if (!options.json) {
    run.console.out << reference::published_table(rows) << '\n';
    for (const auto& [movement, study] : synthetic.sets) run.console.out << table(study, movement);
    if (synthetic.sets.size() > 1) run.console.out << overview(synthetic.sets);
    if (options.study.live) run.console.out << live_table(synthetic.sets);
    run.console.out << idle_lines(synthetic.idle);
    return;
  }
  nlohmann::json json = as_json(synthetic);
  json["published"] = nlohmann::json::array();
  for (const ReferenceRow& row : rows) json["published"].push_back(reference::as_json(row));
  run.console.out << json.dump(2) << '\n';
}

bool any_failed(const std::vector<ReferenceRow>& rows, const Synthetic& synthetic) {
  bool failed = std::any_of(rows.begin(), rows.end(), [](const auto& row) { return row.failed; });
  for (const auto& [movement, study] : synthetic.sets) failed = failed || !study.failures.empty();
  for (const IdleOutcome& row : synthetic.idle) failed = failed || !row.failure.empty();
  return failed;
}

void verify(Options& options, Run& run) {
  constexpr double kDegree = std::numbers::pi / 180.0;
  options.study.max_tilt = options.tilt_deg * kDegree;
  options.study.spread = {options.standing_deg / kUsualStanding, options.bends_cm / kUsualBends};
  if (options.thigh_deg) options.study.thigh_tissue = *options.thigh_deg * kDegree;
  if (options.shank_deg) options.study.shank_tissue = *options.shank_deg * kDegree;
  std::vector<std::string> names;
  if (!options.disturbances.empty()) names = CLI::detail::split(options.disturbances, ',');
  const auto disturbances = recordings::synthetic::parse_disturbances(names);
  if (!disturbances) return run.fail(disturbances.error());
  options.study.disturbances = *disturbances;
  const std::vector<ReferenceRow> rows = reference::published_rows(data_folder(options.folder));
  const Synthetic synthetic = run_synthetic(options);
  print(run, options, rows, synthetic);
  if (any_failed(rows, synthetic)) run.status = kFailed;
}

std::vector<std::string> part_choices() {
  std::vector<std::string> names;
  for (const auto& part : recordings::synthetic::sensor_parts()) names.push_back(part.name);
  return names;
}

std::vector<std::string> movement_choices() {
  std::vector<std::string> choices = recordings::synthetic::simulated_movements();
  choices.emplace_back(recordings::synthetic::kFree);
  choices.emplace_back(kAll);
  return choices;
}

void verify_reps(const std::string& folder, Run& run) {
  const auto study = reference::run_rep_study(folder);
  if (!study) {
    run.console.err << "strapline: " << study.error().line() << "\n";
    run.status = kFailed;
    return;
  }
  run.console.out << reference::rep_study_table(*study);
}

void verify_changes(const Options& options, Run& run) {
  const ChangeStudy study = run_change_study({options.logbooks, options.study.seed});
  run.console.out << (options.json ? change_study_json(study).dump(2) + "\n"
                                   : change_study_table(study));
  if (!study.failures.empty()) run.status = kFailed;
}

/// What is drawn of the clients of the synthetic sets.
void add_people_options(CLI::App& command, const std::shared_ptr<Options>& options) {
  command
      .add_option("--soft-tissue", options->study.soft_tissue,
                  "Factor on the soft tissue's movement (0: rigid)")
      ->check(between(0.0, 10.0))
      ->capture_default_str();
  command
      .add_option("--standing", options->standing_deg,
                  "How far from plumb clients stand in the still part, arms hanging, degrees, 1 "
                  "sigma; drawn and stated")
      ->check(between(0.0, 5.0))
      ->capture_default_str();
  command
      .add_option(
          "--bends", options->bends_cm,
          "How far off the toes clients keep the knees in the easy bends, cm, 1 sigma; with the "
          "arms, raise and bow go off their planes in proportion (2 and 1.5 degrees for "
          "0.6); drawn and stated")
      ->check(between(0.0, 5.0))
      ->capture_default_str();
  command
      .add_option("--thigh-tissue", options->thigh_deg,
                  "Soft tissue of thigh and upper arm at full flexion, degrees, drawn and "
                  "stated")
      ->check(between(0.0, 20.0));
  command
      .add_option("--shank-tissue", options->shank_deg,
                  "Soft tissue of shank, forearm, pelvis and trunk at full flexion, degrees, "
                  "drawn and stated")
      ->check(between(0.0, 20.0));
}

}  // namespace

void add_verify(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "verify", "Measure the estimates against published recordings and synthetic truth");
  const auto options = std::make_shared<Options>();
  command->add_option("DATA_FOLDER", options->folder,
                      "Published recordings (else $STRAPLINE_DATA, else ../shared/data)");
  command->add_option("--sets", options->study.sets, "Synthetic sets to draw")
      ->check(between(1, 100000))
      ->capture_default_str();
  command
      ->add_option("--movement", options->study.movement,
                   "Movement of the sets, or all: one after the other")
      ->check(CLI::IsMember(movement_choices()))
      ->capture_default_str();
  command->add_option("--seed", options->study.seed, "Seed of the first set")
      ->capture_default_str();
  command->add_option("--tilt", options->tilt_deg, "Largest tilt of a strap, degrees")
      ->check(between(0.0, 45.0))
      ->capture_default_str();
  add_people_options(*command, options);
  command->add_flag("--feet", options->study.feet,
                    "Straps on the feet, too, which squats place anew after the easy bends");
  command->add_option("--part", options->study.part, "Sensor part")
      ->check(CLI::IsMember(part_choices()))
      ->capture_default_str();
  command->add_flag("--disturbances{all}", options->disturbances,
                    "What else happens in the sets: all, or --disturbances=pause,grind,…");
  command
      ->add_option("--idle", options->idle_minutes,
                   "Minutes of synthetic everyday movement without a rep, too")
      ->check(between(0.0, 600.0));
  command->add_flag("--live", options->study.live,
                    "Play the synthetic recordings through the live count, too");
  command->add_flag("--json", options->json, "Print JSON");
  auto* reps =
      command->add_flag("--reps", options->reps, "Count reps in labelled real recordings instead");
  auto* changes =
      command->add_flag("--changes", options->changes,
                        "Judge synthetic logbooks with known changes as compare does instead");
  for (const char* other : {"--movement", "--disturbances", "--idle", "--live", "--feet"}) {
    reps->excludes(other);
    changes->excludes(other);
  }
  reps->excludes("--json")->excludes(changes);
  command->add_option("--logbooks", options->logbooks, "Synthetic logbooks of each kind")
      ->check(between(1, 1000000))
      ->capture_default_str();
  command->callback([options, &run] {
    if (options->changes) return verify_changes(*options, run);
    if (options->reps) return verify_reps(data_folder(options->folder), run);
    verify(*options, run);
  });
}

}  // namespace strapline::cli
