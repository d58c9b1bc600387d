#include "loaded_sets.hpp"

#include <algorithm>
#include <unordered_set>

#include "strapline/coaching/movement.hpp"
#include "strapline/recordings/file_kind.hpp"

#include "reviewed_set.hpp"

namespace strapline::cli {
namespace {

using recordings::LoggedSet;
using Wanted = std::function<bool(const LoggedSet&)>;

/// The last set that is wanted, by its headline.
recordings::LogbookPart::Choice last_of(const Wanted& wanted) {
  return [wanted](const std::vector<LoggedSet>& headlines) {
    std::vector<bool> chosen(headlines.size());
    const auto last = std::find_if(headlines.rbegin(), headlines.rend(), wanted);
    if (last != headlines.rend()) {
      chosen[static_cast<std::size_t>(headlines.rend() - last) - 1] = true;
    }
    return chosen;
  };
}

dsp::Result<std::vector<LoggedSet>> sets_of_logbook(const std::string& file, const Wanted& wanted) {
  auto logbook = recordings::read_logbook(file, {recordings::sets_where(wanted), last_of(wanted)});
  if (!logbook) return tl::make_unexpected(logbook.error());
  std::erase_if(logbook->sets, std::not_fn(wanted));
  return std::move(logbook->sets);
}

/// The wanted sets of one file, whichever kind it is.
dsp::Result<std::vector<LoggedSet>> sets_of(const std::string& file, const std::string& movement,
                                            const Wanted& wanted) {
  const auto kind = recordings::file_kind(file);
  if (!kind) return tl::make_unexpected(kind.error());
  if (*kind == recordings::FileKind::logbook) return sets_of_logbook(file, wanted);
  auto entry = log_entry(file, movement);
  if (!entry) return tl::make_unexpected(entry.error());
  std::vector<LoggedSet> sets;
  if (wanted(*entry)) sets.push_back(std::move(*entry));
  return sets;
}

/// Why the full reps do not have what none of them measured; the first rep's reason of each.
std::map<std::string, std::string> reasons_of(const LoggedSet& set) {
  std::map<std::string, std::string> reasons;
  for (const dsp::Rep& rep : set.reps) {
    if (rep.part) continue;
    for (const auto& [name, measure] : rep.measures) {
      const auto* absent = std::get_if<dsp::NotMeasured>(&measure);
      if (absent != nullptr && !set.measures.contains(name)) reasons.emplace(name, absent->reason);
    }
  }
  return reasons;
}

coaching::RepSummary to_reps(const recordings::MeasureSummary& summary) {
  return {summary.n, summary.mean, summary.sd.value_or(0.0), summary.u, summary.unit};
}

/// All but the measures.
coaching::ComparedSet conditions_of(const LoggedSet& set) {
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
  compared.full_reps = set.full_reps;
  return compared;
}

}  // namespace

dsp::Result<LoggedSet> log_entry(const std::string& file, const std::string& movement) {
  const auto set = review_file(file, movement);
  if (!set) return tl::make_unexpected(set.error());
  return recordings::make_logged_set(set->recording, set->file, set->analysis);
}

dsp::Result<std::vector<LoggedSet>> load_sets(const std::vector<std::string>& files,
                                              const std::string& movement, const Wanted& accepts) {
  std::string name;
  if (!movement.empty()) {
    const auto loaded = coaching::load_movement(movement);
    if (!loaded) return tl::make_unexpected(loaded.error());
    name = loaded->name;
  }
  const Wanted wanted = [&](const LoggedSet& set) {
    return (name.empty() || set.description.movement == name) && (!accepts || accepts(set));
  };
  std::vector<LoggedSet> sets;
  std::unordered_set<std::string> known;
  for (const std::string& file : files) {
    auto more = sets_of(file, movement, wanted);
    if (!more) return more;
    for (LoggedSet& set : *more) {
      if (known.insert(set.set_id).second) sets.push_back(std::move(set));
    }
  }
  return sets;
}

coaching::ComparedSet to_compared(const LoggedSet& set) {
  coaching::ComparedSet compared = conditions_of(set);
  for (const auto& [name, summary] : set.measures) compared.measures[name] = to_reps(summary);
  compared.not_measured = reasons_of(set);
  return compared;
}

coaching::ComparedSet to_compared(const LoggedSet& set, const std::vector<std::string>& measures) {
  coaching::ComparedSet compared = conditions_of(set);
  const auto reasons = reasons_of(set);
  for (const std::string& name : measures) {
    const auto summary = set.measures.find(name);
    if (summary != set.measures.end()) compared.measures[name] = to_reps(summary->second);
    const auto reason = reasons.find(name);
    if (reason != reasons.end()) compared.not_measured.insert(*reason);
  }
  return compared;
}

}  // namespace strapline::cli
