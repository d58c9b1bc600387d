#include "rep_study.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <map>
#include <optional>

#include <fmt/format.h>

#include "strapline/coaching/movement.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/recordings/import_csv.hpp"

#include "csv_table.hpp"

namespace strapline::cli::reference {
namespace {

namespace fs = std::filesystem;

// Labels of gym_wrist that the signal contradicts: the six sets in which the label is furthest from
// the number of like cycles that fill the interval marked by hand. What the eye found in the plots
// is said here; the table adds what was measured, and the totals with every label believed.
const std::map<std::string, std::string> kNotBelieved = {
    {"291124_MTE_W13_6_S1_R2",
     "11 or 12 like cycles fill the marked 56 s: the label seems to lack a digit"},
    {"021224_SACLR_W4_5_S1_R30", "12 like cycles of 4 s fill the marked 49 s: no place for 30"},
    {"291124_SACLR_W4_5_S1_R30", "20 like cycles of 3.7 s fill the marked 74 s: no place for 30"},
    {"261124_SACLR_W4_5_S2_R15", "24 or 25 like cycles fill the marked 85 s: no place for 15"},
    {"291124_SACLR_W4_5_S2_R15", "20 like cycles fill the marked 83 s: no place for 15"},
    {"231124_SAOCTE_W11_S2_R15",
     "the sensor repeats one reading from 36.8 s to the end at 80.8 s: 7 reps, then nothing"}};

/// Rows of a small CSV file without its header.
std::vector<std::vector<std::string>> csv_rows(const fs::path& file) {
  std::vector<std::vector<std::string>> rows;
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    std::vector<std::string> cells = cells_of(line);
    if (!cells.empty()) rows.push_back(std::move(cells));
  }
  return rows;
}

std::optional<double> number_in(const std::string& cell) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (error != std::errc{} || end != cell.data() + cell.size()) return std::nullopt;
  return value;
}

/// The label of a row's set, or the row's trouble.
void label(RepStudyRow& row, const std::string& cell) {
  const auto reps = number_in(cell);
  if (reps) {
    row.labelled = static_cast<int>(std::lround(*reps));
  } else {
    row.trouble = "index.csv: '" + cell + "' is no number; correct the label";
  }
}

std::vector<fs::path> sensor_files(const fs::path& folder) {
  std::vector<fs::path> files;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator(folder, none)) {
    const std::string name = entry.path().filename().string();
    if (entry.path().extension() == ".csv" && name != "reps.csv" && name != "index.csv" &&
        name != "seat_off.csv") {
      files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

dsp::Result<dsp::StrapSeries> read_strap(const fs::path& file, dsp::Placement placement) {
  auto imported = recordings::import_csv(file, placement, {});
  if (!imported) return tl::make_unexpected(imported.error());
  return recordings::to_series(imported->strap);
}

dsp::Result<dsp::SetAnalysis> analyse(const dsp::StrapSeries& strap, const std::string& movement) {
  const auto loaded = coaching::load_movement(movement);
  if (!loaded) return tl::make_unexpected(loaded.error());
  dsp::SetInput input;
  input.movement = coaching::to_spec(*loaded);
  input.straps = {strap};
  return dsp::analyse_set(input);
}

constexpr dsp::Placement kAnywhere{dsp::Segment::other, dsp::Side::middle};

/// Fills the count; gives the analysis for what else may be compared.
std::optional<dsp::SetAnalysis> count(RepStudyRow& row, const dsp::Result<dsp::StrapSeries>& strap,
                                      bool with_part_reps) {
  if (!row.trouble.empty()) return std::nullopt;
  const auto result =
      strap.and_then([](const dsp::StrapSeries& series) { return analyse(series, "free"); });
  if (!result) {
    row.trouble = result.error().line();
    return std::nullopt;
  }
  row.counted = with_part_reps ? static_cast<int>(result->reps.size()) : result->full_reps();
  return *result;
}

/// What the signal shows in the interval that was marked by hand: how many like cycles, how long,
/// and how much of the interval they fill.
std::string evidence(const dsp::SetAnalysis& result, double from_s, double to_s) {
  std::vector<double> lengths;
  double filled = 0.0;
  for (const dsp::Rep& rep : result.reps) {
    const double inside = std::min(to_s, rep.end_s) - std::max(from_s, rep.start_s);
    if (inside <= 0.5 * (rep.end_s - rep.start_s)) continue;
    lengths.push_back(rep.end_s - rep.start_s);
    filled += inside;
  }
  if (lengths.empty() || to_s <= from_s) return "no like cycles in the marked interval";
  std::sort(lengths.begin(), lengths.end());
  return fmt::format("{} like cycles, {:.1f} to {:.1f} s long, fill {:.0f} % of {:.0f} s",
                     lengths.size(), lengths.front(), lengths.back(),
                     100.0 * filled / (to_s - from_s), to_s - from_s);
}

void study_gym(const fs::path& folder, RepStudy& study) {
  for (const auto& cells : csv_rows(folder / "index.csv")) {
    if (cells.size() < 3) continue;
    RepStudyRow row{"gym_wrist", cells[0], cells[1], "wrist", 0, 0, {}, {}, {}};
    label(row, cells[2]);
    if (const auto found = kNotBelieved.find(row.set); found != kNotBelieved.end()) {
      row.set_aside = found->second;
    }
    const auto result = count(row, read_strap(folder / (cells[0] + ".csv"), kAnywhere), false);
    if (result && cells.size() > 5) {
      const double from = number_in(cells[4]).value_or(0.0);
      row.evidence = evidence(*result, from, number_in(cells[5]).value_or(0.0));
    }
    study.rows.push_back(std::move(row));
  }
}

/// Mean square turning rate: tells the strap on the moving limb from those at rest.
double turning(const dsp::StrapSeries& strap) {
  return strap.data.gyr.squaredNorm() /
         static_cast<double>(std::max<Eigen::Index>(1, strap.data.size()));
}

std::vector<LabelledRep> labelled_reps(const fs::path& file) {
  std::vector<LabelledRep> reps;
  for (const auto& cells : csv_rows(file)) {
    if (cells.size() < 4) continue;
    const auto kind = number_in(cells[1]);
    const auto start = number_in(cells[2]);
    const auto end = number_in(cells[3]);
    if (kind && start && end) reps.push_back({static_cast<int>(*kind), *start, *end});
  }
  return reps;
}

/// Low-amplitude reps are labelled too, so part reps count here.
void study_therapy(const fs::path& folder, RepStudy& study) {
  for (const auto& cells : csv_rows(folder / "index.csv")) {
    if (cells.size() < 3) continue;
    RepStudyRow row{"therapy", cells[0], "exercise " + cells[1], {}, 0, 0, {}, {}, {}};
    label(row, cells[2]);
    dsp::Result<dsp::StrapSeries> moving =
        dsp::fail("no sensor file", cells[0], "check the folder");
    for (const fs::path& file : sensor_files(folder / cells[0])) {
      auto strap = read_strap(file, kAnywhere);
      if (!strap || (moving && turning(*strap) <= turning(*moving))) continue;
      moving = std::move(strap);
      row.placement = file.stem().string();
    }
    const auto result = count(row, moving, true);
    if (result) {
      study.durations.add(cells[0], labelled_reps(folder / cells[0] / "reps.csv"), *result);
    }
    study.rows.push_back(std::move(row));
  }
}

void study_sit_to_stand(const fs::path& folder, RepStudy& study) {
  std::error_code none;
  for (const auto& subject : fs::directory_iterator(folder, none)) {
    const auto labelled = static_cast<int>(csv_rows(subject.path() / "seat_off.csv").size());
    for (const fs::path& file : sensor_files(subject.path())) {
      RepStudyRow row{"sit_to_stand",
                      subject.path().filename().string(),
                      "sit-to-stand",
                      file.stem().string(),
                      labelled,
                      0,
                      {},
                      {},
                      {}};
      count(row, read_strap(file, kAnywhere), false);
      study.rows.push_back(std::move(row));
    }
  }
}

/// A recording without reps, of straps by their files, analysed as `movement`.
NonExerciseRow without_reps(const std::string& what, const std::string& movement,
                            const std::vector<std::pair<fs::path, dsp::Placement>>& files) {
  NonExerciseRow row{what + ", " + movement + " expected", 0.0, 0, {}};
  dsp::SetInput input;
  for (const auto& [file, placement] : files) {
    auto strap = read_strap(file, placement);
    if (!strap) {
      row.trouble = strap.error().line();
      return row;
    }
    input.straps.push_back(std::move(*strap));
  }
  const auto loaded = coaching::load_movement(movement);
  if (loaded) input.movement = coaching::to_spec(*loaded);
  const auto result = loaded ? dsp::analyse_set(input) : tl::make_unexpected(loaded.error());
  if (result) {
    row.minutes = (result->t[result->t.size() - 1] - result->t[0]) / 60.0;
    row.counted = result->full_reps();
  } else {
    row.trouble = result.error().line();
  }
  return row;
}

void study_walking(const fs::path& folder, RepStudy& study) {
  using dsp::Segment;
  if (!fs::exists(folder)) return;
  for (const auto& [name, side] :
       {std::pair{"left", dsp::Side::left}, std::pair{"right", dsp::Side::right}}) {
    const auto file = [&, name = name](const std::string& limb) {
      return folder / (limb + "_" + name + ".csv");
    };
    study.non_exercise.push_back(without_reps(fmt::format("walking, {} thigh", name), "squat",
                                              {{file("upper_leg"), {Segment::thigh, side}}}));
    study.non_exercise.push_back(without_reps(fmt::format("walking, {} arm", name), "push_up",
                                              {{file("upper_arm"), {Segment::upper_arm, side}},
                                               {file("forearm"), {Segment::forearm, side}}}));
  }
}

/// A sensor turned and carried by hand, worn on nothing.
void study_handling(const fs::path& folder, RepStudy& study) {
  std::error_code none;
  std::vector<fs::path> trials;
  for (const auto& set : fs::directory_iterator(folder, none)) {
    if (!set.is_directory()) continue;
    for (const auto& trial : fs::directory_iterator(set.path(), none)) {
      if (fs::exists(trial.path() / "sensor.csv")) trials.push_back(trial.path());
    }
  }
  std::sort(trials.begin(), trials.end());
  for (const fs::path& trial : trials) {
    study.non_exercise.push_back(
        without_reps("handled, " + trial.filename().string(), "squat",
                     {{trial / "sensor.csv", {dsp::Segment::thigh, dsp::Side::left}}}));
  }
}

}  // namespace

dsp::Result<RepStudy> run_rep_study(const fs::path& folder) {
  RepStudy study;
  study_gym(folder / "reps" / "gym_wrist", study);
  study_therapy(folder / "reps" / "therapy", study);
  study_sit_to_stand(folder / "reps" / "sit_to_stand", study);
  study_walking(folder / "other" / "full_body_walk", study);
  study_handling(folder / "orientation", study);
  if (study.rows.empty()) {
    return dsp::fail("no labelled recordings", folder.string(),
                     "name the folder that holds reps/gym_wrist/index.csv");
  }
  return study;
}

}  // namespace strapline::cli::reference
