#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "strapline/dsp/failure.hpp"

#include "rep_durations.hpp"

namespace strapline::cli::reference {

/// One labelled recording and what was counted in it.
struct RepStudyRow {
  std::string group;  ///< "gym_wrist", "therapy", "sit_to_stand"
  std::string set;
  std::string movement;   ///< the data's own code
  std::string placement;  ///< which of its straps
  int labelled = 0;
  int counted = 0;
  std::string set_aside;  ///< why the label is not believed; empty: it counts
  std::string trouble;    ///< why the recording could not be analysed
  std::string evidence;   ///< what was measured in the interval marked by hand; gym_wrist only

  [[nodiscard]] int error() const { return counted - labelled; }
};

/// A recording in which nothing is a rep of the expected movement.
struct NonExerciseRow {
  std::string recording;
  double minutes = 0.0;
  int counted = 0;
  std::string trouble;
};

struct RepStudy {
  std::vector<RepStudyRow> rows;
  std::vector<NonExerciseRow> non_exercise;
  DurationStudy durations;
};

/// Counts reps in the labelled real recordings under `folder` (its reps/ and other/), each with one
/// strap, as any imported recording: nothing tells where the set is. Fails where there are none.
[[nodiscard]] dsp::Result<RepStudy> run_rep_study(const std::filesystem::path& folder);

/// The table: every set, then totals per movement and placement, durations, non-exercise.
[[nodiscard]] std::string rep_study_table(const RepStudy& study);

}  // namespace strapline::cli::reference
