#pragma once

#include <functional>
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
/// of the logbooks are passed over. Of a logbook's sets only the last one taken has its reps.
/// @param accepts of a set without measures and reps; empty: all.
[[nodiscard]] dsp::Result<std::vector<recordings::LoggedSet>> load_sets(
    const std::vector<std::string>& files, const std::string& movement = {},
    const std::function<bool(const recordings::LoggedSet&)>& accepts = {});

/// What a comparison needs of a set: the conditions, its summaries, and of the reps that are there
/// why they lack a measure.
[[nodiscard]] coaching::ComparedSet to_compared(const recordings::LoggedSet& set);

/// The same with these measures alone (full names), for whoever looks at no other.
[[nodiscard]] coaching::ComparedSet to_compared(const recordings::LoggedSet& set,
                                                const std::vector<std::string>& measures);

}  // namespace strapline::cli
