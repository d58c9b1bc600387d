#include <cstdlib>
#include <numbers>
#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "strapline/cli/synthetic_study.hpp"
#include "strapline/recordings/synthetic/set_choice.hpp"

#include "../command.hpp"
#include "../reference/published_table.hpp"
#include "../reference/rep_study.hpp"

namespace strapline::cli {
namespace {

using reference::ReferenceRow;

struct Options {
  StudyOptions study;
  std::string folder;
  double tilt_deg = 15.0, standing_deg = 1.5;
  bool json = false;
  bool reps = false;
};

std::string data_folder(const std::string& given) {
  if (!given.empty()) return given;
  const char* variable = std::getenv("STRAPLINE_DATA");
  return variable != nullptr ? variable : "../shared/data";
}

std::string table(const StudyResult& result, const std::string& movement) {
  std::string text =
      fmt::format("{} synthetic {} sets with known truth, {} full reps: rep count exact in {}\n",
                  result.sets, movement, result.reps, result.sets_with_exact_count);
  for (const std::string& failure : result.failures) text += fmt::format("  failed: {}\n", failure);
  if (!result.wrong_counts.empty()) {
    text += fmt::format("  wrong count with seed {}\n", fmt::join(result.wrong_counts, ", "));
  }
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
  return {{"sets", result.sets},         {"exact", result.sets_with_exact_count},
          {"reps", result.reps},         {"wrong_count_seeds", result.wrong_counts},
          {"failures", result.failures}, {"errors", errors}};
}

void print(Run& run, const Options& options, const std::vector<ReferenceRow>& rows,
           const StudyResult& study) {
  if (!options.json) {
    run.console.out << reference::published_table(rows) << '\n'
                    << table(study, options.study.movement);
    return;
  }
  nlohmann::json json = as_json(study);
  json["published"] = nlohmann::json::array();
  for (const ReferenceRow& row : rows) json["published"].push_back(reference::as_json(row));
  run.console.out << json.dump(2) << '\n';
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

}  // namespace

void add_verify(CLI::App& app, Run& run) {
  auto* command = app.add_subcommand(
      "verify", "Measure the estimates against published recordings and synthetic truth");
  const auto options = std::make_shared<Options>();
  command->add_option("DATA_FOLDER", options->folder,
                      "Published recordings (else $STRAPLINE_DATA, else ../shared/data)");
  command->add_option("--sets", options->study.sets, "Synthetic sets to draw")
      ->check(CLI::Range(1, 100000))
      ->capture_default_str();
  command->add_option("--movement", options->study.movement, "Movement of the sets")
      ->check(CLI::IsMember(recordings::synthetic::simulated_movements()))
      ->capture_default_str();
  command->add_option("--seed", options->study.seed, "Seed of the first set")
      ->capture_default_str();
  command->add_option("--tilt", options->tilt_deg, "Largest tilt of a strap, degrees")
      ->check(CLI::Range(0.0, 45.0))
      ->capture_default_str();
  command
      ->add_option("--soft-tissue", options->study.soft_tissue,
                   "Factor on the soft tissue's movement (0: rigid)")
      ->check(CLI::Range(0.0, 10.0))
      ->capture_default_str();
  command
      ->add_option("--standing", options->standing_deg,
                   "How far from plumb clients stand in the squat's still part, degrees, 1 sigma")
      ->check(CLI::Range(0.0, 5.0))
      ->capture_default_str();
  command->add_option("--part", options->study.part, "Sensor part")->capture_default_str();
  command->add_flag("--json", options->json, "Print JSON");
  command->add_flag("--reps", options->reps, "Count reps in labelled real recordings instead");
  command->callback([options, &run] {
    if (options->reps) return verify_reps(data_folder(options->folder), run);
    constexpr double kDegree = std::numbers::pi / 180.0;
    options->study.max_tilt = options->tilt_deg * kDegree;
    options->study.standing_sd = options->standing_deg * kDegree;
    const std::vector<ReferenceRow> rows = reference::published_rows(data_folder(options->folder));
    const StudyResult study = run_synthetic_study(options->study);
    print(run, *options, rows, study);
    bool failed = !study.failures.empty();
    for (const ReferenceRow& row : rows) failed = failed || row.failed;
    if (failed) run.status = kFailed;
  });
}

}  // namespace strapline::cli
