#pragma once

#include <filesystem>
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

/// The sets of a logbook up to `today`, none older than `days`; none where there is no logbook.
/// Sets without a start time are left out. Fails where the logbook cannot be read.
[[nodiscard]] dsp::Result<std::vector<DatedSet>> read_history(const std::filesystem::path& logbook,
                                                              double today, double days);

/// How far each full rep went in a measure (base name), SI: the side that worked; of two that
/// worked together the one that went less far. Reps that did not measure it are left out.
[[nodiscard]] std::vector<double> range_of(const std::vector<dsp::Rep>& reps,
                                           const std::string& measure);

/// A set for the envelope; `measure` says what its range is.
[[nodiscard]] coaching::HandledSet to_handled(const DatedSet& dated, const std::string& measure);

/// Pain above 0 that was logged with any set.
[[nodiscard]] std::vector<coaching::LoggedPain> logged_pain(const std::vector<DatedSet>& history);

}  // namespace strapline::cli
