#include "loaded_sets.hpp"

#include <algorithm>

#include "strapline/coaching/movement.hpp"
#include "strapline/recordings/file_kind.hpp"

#include "reviewed_set.hpp"

namespace strapline::cli {
namespace {

using recordings::LoggedSet;

/// The sets of one file, whichever kind it is.
dsp::Result<std::vector<LoggedSet>> sets_of(const std::string& file, const std::string& movement) {
  const auto kind = recordings::file_kind(file);
  if (!kind) return tl::make_unexpected(kind.error());
  if (*kind != recordings::FileKind::logbook) {
    auto entry = log_entry(file, movement);
    if (!entry) return tl::make_unexpected(entry.error());
    return std::vector<LoggedSet>{std::move(*entry)};
  }
  auto logbook = recordings::read_logbook(file);
  if (!logbook) return tl::make_unexpected(logbook.error());
  return std::move(logbook->sets);
}

}  // namespace

dsp::Result<LoggedSet> log_entry(const std::string& file, const std::string& movement) {
  const auto set = review_file(file, movement);
  if (!set) return tl::make_unexpected(set.error());
  return recordings::make_logged_set(set->recording, set->file, set->analysis);
}

dsp::Result<std::vector<LoggedSet>> load_sets(const std::vector<std::string>& files,
                                              const std::string& movement) {
  std::string name;
  if (!movement.empty()) {
    const auto loaded = coaching::load_movement(movement);
    if (!loaded) return tl::make_unexpected(loaded.error());
    name = loaded->name;
  }
  std::vector<LoggedSet> sets;
  for (const std::string& file : files) {
    auto more = sets_of(file, movement);
    if (!more) return more;
    for (LoggedSet& set : *more) {
      const bool known = std::any_of(sets.begin(), sets.end(),
                                     [&](const auto& have) { return have.set_id == set.set_id; });
      const bool wanted = name.empty() || set.description.movement == name;
      if (wanted && !known) sets.push_back(std::move(set));
    }
  }
  return sets;
}

coaching::ComparedSet to_compared(const LoggedSet& set) {
  const recordings::SetDescription& d = set.description;
  coaching::ComparedSet compared;
  compared.name = set.file;
  compared.client = d.client;
  compared.movement = d.movement;
  compared.variation = d.variation;
  compared.kit = d.kit;
  compared.started_utc = d.started_utc;
  compared.load_kg = d.load_kg;
  compared.effort_rpe = d.effort_rpe;
  compared.reps_in_reserve = d.reps_in_reserve;
  compared.pain = d.pain;
  for (const dsp::Rep& rep : set.reps) {
    if (!rep.part) compared.full_reps.push_back(rep.measures);
  }
  return compared;
}

}  // namespace strapline::cli
