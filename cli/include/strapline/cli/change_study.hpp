#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "strapline/coaching/change.hpp"

namespace strapline::cli {

/// Synthetic logbooks with known truth, judged as `compare` judges a client's own.
///
/// A logbook is a client with one measure: an angle, a distance, a duration or a velocity in turn.
/// What putting the straps on anew adds is drawn per client, 0.6 to 1.4 times the default that the
/// comparison knows (ErrorParameters), and so are the alignment's error, which the reps' u states,
/// and the reps' spread. The true value moves evenly from the first week to the last; between them
/// lie heavier sets, or, for own repeats, weeks of two days at the same load.
struct ChangeStudyOptions {
  int logbooks = 2000;  ///< per row
  std::uint64_t seed = 1;
  /// The whole change right after the first week. Own repeats then hold nothing of it, as the
  /// theory has it; otherwise they hold a little, and tell it a little later.
  bool sudden = false;
};

/// Logbooks of one kind and what was said of them. "MDC95" is Weir's 1.96·√2·SEM with the true SEM
/// of one set (measures.md), whatever the days a side.
struct ChangeStudyRow {
  int days = 0;  ///< a side, one set a day
  coaching::ErrorSource source = coaching::ErrorSource::stated_uncertainty;
  double degrees_of_freedom = 0.0;  ///< mean of what the comparisons rested on; 0 for stated
  double times_mdc95 = 0.0;         ///< the true change
  int logbooks = 0;
  int changed = 0, unchanged = 0, cannot_tell = 0;
  /// What statistics says of `changed`, from the truth alone: the noncentral t distribution for own
  /// repeats, the normal one with the stated SEM against the true one else.
  double theory = 0.0;
  int matters = 0;            ///< logbooks whose true change is what matters to the coach, or more
  int matters_unchanged = 0;  ///< of those, called unchanged
};

struct ChangeStudy {
  ChangeStudyOptions options;
  std::vector<ChangeStudyRow> rows;
  std::vector<std::string> failures;  ///< logbooks that could not be compared, with the line
};

/// On as many threads as there are cores; the result does not depend on how many.
[[nodiscard]] ChangeStudy run_change_study(const ChangeStudyOptions& options);

/// Days a side from which on a change of 1.5 × MDC95 is to be told: a coach's ordinary use.
inline constexpr int kOrdinaryDays = 2;

}  // namespace strapline::cli
