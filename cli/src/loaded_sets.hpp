#pragma once

#include <string>
#include <vector>

#include "strapline/coaching/comparison.hpp"
#include "strapline/recordings/logbook.hpp"

namespace strapline::cli {

/// A recording, analysed as the movement it names or as `movement`, as a logbook keeps it.
[[nodiscard]] dsp::Result<recordings::LoggedSet> log_entry(const std::string& file,
                                                           const std::string& movement = {});

/// The sets of logbooks and recordings alike; a set that comes twice is taken once. Where
/// `movement` (a name or a .toml file) is not empty, recordings are analysed as it and other sets
/// of the logbooks are passed over.
[[nodiscard]] dsp::Result<std::vector<recordings::LoggedSet>> load_sets(
    const std::vector<std::string>& files, const std::string& movement = {});

/// What a comparison needs of a set: its full reps and the conditions.
[[nodiscard]] coaching::ComparedSet to_compared(const recordings::LoggedSet& set);

}  // namespace strapline::cli
