#include "client_history.hpp"

#include <cmath>
#include <map>
#include <set>
#include <system_error>

#include "strapline/coaching/calendar.hpp"

namespace strapline::cli {
namespace {

using recordings::LoggedSet;

/// The day of a set up to `today`; empty for the others.
std::optional<double> day_of(const LoggedSet& set, double today) {
  const auto day = coaching::days_from_utc(set.description.started_utc);
  if (!day || *day > today) return std::nullopt;
  return *day;
}

/// What is read of a set.
enum class Wanted { nothing, summary, reps };

/// Of each movement and variation: everything within `days`, and the latest session however old.
std::vector<Wanted> wanted_of(const std::vector<LoggedSet>& headlines, double today, double days) {
  std::map<std::pair<std::string, std::string>, std::set<double>> sessions;
  std::vector<Wanted> wanted(headlines.size(), Wanted::nothing);
  for (std::size_t i = headlines.size(); i-- > 0;) {
    const LoggedSet& set = headlines[i];
    const auto day = day_of(set, today);
    if (!day) continue;
    auto& of_kind = sessions[{set.description.movement, set.description.variation}];
    of_kind.insert(std::floor(*day));
    const bool counts = today - *day <= days || of_kind.size() == 1;
    if (!counts) continue;
    const bool latest = of_kind.size() <= static_cast<std::size_t>(kSessionsWithReps);
    wanted[i] = latest ? Wanted::reps : Wanted::summary;
  }
  return wanted;
}

std::vector<bool> flags_of(const std::vector<Wanted>& wanted, Wanted least) {
  std::vector<bool> flags;
  for (const Wanted one : wanted) flags.push_back(one >= least);
  return flags;
}

std::optional<RangeReached> reached(const LoggedSet& set, const std::string& full_name) {
  const auto found = set.measures.find(full_name);
  if (found == set.measures.end()) return std::nullopt;
  return RangeReached{found->second.median, found->second.n};
}

}  // namespace

dsp::Result<std::vector<DatedSet>> read_history(const std::filesystem::path& logbook, double today,
                                                double days) {
  std::vector<DatedSet> history;
  std::error_code error;
  if (!std::filesystem::exists(logbook, error)) return history;
  const auto choice = [=](Wanted least) {
    return [=](const std::vector<LoggedSet>& headlines) {
      return flags_of(wanted_of(headlines, today, days), least);
    };
  };
  const recordings::LogbookPart part{choice(Wanted::summary), choice(Wanted::reps)};
  auto read = recordings::read_logbook(logbook, part);
  if (!read) return tl::make_unexpected(read.error());
  const std::vector<Wanted> wanted = wanted_of(read->sets, today, days);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    if (wanted[i] == Wanted::nothing) continue;
    LoggedSet& set = read->sets[i];
    history.push_back({*day_of(set, today), std::move(set)});
  }
  return history;
}

std::optional<RangeReached> range_of(const LoggedSet& set, const std::string& measure) {
  if (const auto unsided = reached(set, measure)) return unsided;
  const auto left = reached(set, measure + "_left");
  const auto right = reached(set, measure + "_right");
  if (!left || !right) return left ? left : right;
  return left->median < right->median ? left : right;
}

coaching::HandledSet to_handled(const DatedSet& dated, const std::string& measure) {
  const auto& said = dated.set.description;
  coaching::HandledSet handled{dated.set.file, dated.day, said.load_kg, said.pain, {}, 0};
  if (const auto range = range_of(dated.set, measure)) {
    handled.range = range->median;
    handled.reps = range->reps;
  }
  return handled;
}

std::vector<coaching::LoggedPain> logged_pain(const std::vector<DatedSet>& history) {
  std::vector<coaching::LoggedPain> pain;
  for (const DatedSet& dated : history) {
    const auto& description = dated.set.description;
    pain.push_back({dated.set.file, description.movement, dated.day, description.pain.value_or(0.0),
                    description.pain_place});
  }
  return pain;
}

}  // namespace strapline::cli
