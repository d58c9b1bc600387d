#include "client_history.hpp"

#include <cmath>
#include <map>
#include <set>
#include <system_error>

#include "strapline/coaching/calendar.hpp"

namespace strapline::cli {
namespace {

using recordings::LoggedSet;

/// The day of a set that counts; empty for the others.
std::optional<double> day_of(const LoggedSet& set, double today, double days) {
  const auto day = coaching::days_from_utc(set.description.started_utc);
  if (!day || *day > today || today - *day > days) return std::nullopt;
  return *day;
}

/// Flags the sets of the latest sessions of each movement and variation.
std::vector<bool> latest_sessions(const std::vector<LoggedSet>& headlines, double today,
                                  double days) {
  std::map<std::pair<std::string, std::string>, std::set<double>> sessions;
  std::vector<bool> chosen(headlines.size(), false);
  for (std::size_t i = headlines.size(); i-- > 0;) {
    const LoggedSet& set = headlines[i];
    const auto day = day_of(set, today, days);
    if (!day) continue;
    auto& of_kind = sessions[{set.description.movement, set.description.variation}];
    of_kind.insert(std::floor(*day));
    chosen[i] = of_kind.size() <= static_cast<std::size_t>(kSessionsWithReps);
  }
  return chosen;
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
  recordings::LogbookPart part;
  part.summaries = recordings::sets_where(
      [=](const LoggedSet& set) { return day_of(set, today, days).has_value(); });
  part.reps = [=](const std::vector<LoggedSet>& headlines) {
    return latest_sessions(headlines, today, days);
  };
  auto read = recordings::read_logbook(logbook, part);
  if (!read) return tl::make_unexpected(read.error());
  for (LoggedSet& set : read->sets) {
    const auto day = day_of(set, today, days);
    if (day) history.push_back({*day, std::move(set)});
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
    if (!description.pain || !(*description.pain > 0.0)) continue;
    pain.push_back({dated.set.file, description.movement, dated.day, *description.pain,
                    description.pain_place});
  }
  return pain;
}

}  // namespace strapline::cli
