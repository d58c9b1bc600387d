#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/envelope.hpp"
#include "strapline/coaching/next_step.hpp"
#include "strapline/recordings/logbook.hpp"

namespace strapline::cli {

/// A client's sets up to a day, in time order, each with that day.
struct DatedSet {
  double day = 0.0;  ///< days since 1970-01-01, UTC
  recordings::LoggedSet set;
};

/// So many of the latest session days of each way of doing a movement come with their reps: as many
/// as a ladder's step may ask for.
inline constexpr int kSessionsWithReps = coaching::kMostSessions;

/// The sets of a logbook up to `today`, none older than `days` but for the last session of each way
/// of doing a movement, which is never forgotten; with what was measured over their reps; the reps
/// themselves come with the latest sessions alone (kSessionsWithReps). None where there is no
/// logbook. Sets without a start time are left out. Fails where the logbook cannot be read.
[[nodiscard]] dsp::Result<std::vector<DatedSet>> read_history(const std::filesystem::path& logbook,
                                                              double today, double days);

/// The measure that is the range where none is named: the movement's own range angle, of one rep.
inline constexpr const char* kRange = "range";

/// How far a set went in a measure (base name), SI: the median over its full reps, and how many
/// measured it; of two sides the one that went less far.
struct RangeReached {
  double median = 0.0;
  int reps = 0;
};
[[nodiscard]] std::optional<RangeReached> range_of(const recordings::LoggedSet& set,
                                                   const std::string& measure);

/// A set for the envelope; `measure` says what its range is.
[[nodiscard]] coaching::HandledSet to_handled(const DatedSet& dated, const std::string& measure);

/// The pain of every set, 0 where there was none or nobody logged it, in time order.
[[nodiscard]] std::vector<coaching::LoggedPain> logged_pain(const std::vector<DatedSet>& history);

}  // namespace strapline::cli
