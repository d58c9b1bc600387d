#include "judged_review.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/calendar.hpp"

#include "client_aims.hpp"
#include "client_cautions.hpp"
#include "clients_folder.hpp"
#include "standing.hpp"

namespace strapline::cli {
namespace {

using coaching::Client;

dsp::Result<ActiveAim> aim_for(const ReviewedSet& set, const std::string& name,
                               const std::filesystem::path& own) {
  if (!name.empty()) {
    auto aim = find_aim(name, set.client ? own : std::filesystem::path());
    if (!aim) return tl::make_unexpected(aim.error());
    return ActiveAim{std::move(*aim), {}};
  }
  const auto& description = set.recording.description;
  if (set.client) {
    return active_aim(*set.client, own, set.movement.name, description.variation);
  }
  if (set.client_fault) return ActiveAim{std::nullopt, "The client's file could not be read."};
  return ActiveAim{std::nullopt,
                   fmt::format("No client '{}' is set up, and --aim names none; strapline client "
                               "add sets one up.",
                               description.client)};
}

coaching::JudgedSet to_judged(const ReviewedSet& set) {
  const auto& description = set.recording.description;
  coaching::JudgedSet judged;
  judged.movement = set.movement.name;
  judged.variation = description.variation;
  judged.with.load_kg = description.load_kg;
  judged.reps = set.analysis.reps;
  if (!set.client) return judged;
  judged.with.body_mass_kg = set.client->body_mass_kg;
  judged.smallest_that_matters = set.client->smallest_that_matters;
  return judged;
}

/// The client's own aims for the movement and the built-in ones; an own one of the same name goes
/// first. One that cannot be read is left out here: whoever uses it is told.
std::vector<coaching::Aim> aims_for(const std::string& movement, const std::filesystem::path& own) {
  std::vector<std::string> names = own_aims(own);
  for (const std::string& name : coaching::built_in_aims()) {
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  std::vector<coaching::Aim> aims;
  for (const std::string& name : names) {
    auto aim = find_aim(name, own);
    if (aim && aim->movement == movement) aims.push_back(std::move(*aim));
  }
  return aims;
}

/// The set as a logbook would have it.
DatedSet to_dated(const ReviewedSet& set) {
  DatedSet dated;
  dated.set = recordings::make_logged_set(set.recording, set.file, set.analysis);
  dated.set.description.movement = set.movement.name;
  const auto day = coaching::days_from_utc(dated.set.description.started_utc);
  if (day) dated.day = *day;
  return dated;
}

/// Beside the client's sets of the last twelve weeks; a logbook that is not there holds none.
std::vector<coaching::Caution> cautions_in(const ReviewedSet& set,
                                           const std::filesystem::path& logbook,
                                           JudgedReview& review) {
  const DatedSet dated = to_dated(set);
  std::vector<DatedSet> history;
  if (set.client && dated.day > 0.0) {
    auto read = read_history(logbook, dated.day, kStandingDays);
    if (!read) {
      review.faults.push_back(read.error());
    } else {
      history = std::move(*read);
    }
  }
  return cautions_of(dated, history, review.limits);
}

}  // namespace

dsp::Result<JudgedReview> judge_review(const ReviewedSet& set, const std::string& aim,
                                       const std::filesystem::path& clients) {
  const ClientFiles files = client_files(clients, set.recording.description.client);
  JudgedReview review;
  if (set.client_fault) review.faults.push_back(*set.client_fault);
  if (set.client) review.limits = set.client->limits;
  const auto active = aim_for(set, aim, files.aims);
  if (!active && !aim.empty()) return tl::make_unexpected(active.error());
  if (!active) {
    review.faults.push_back(active.error());
    review.no_aim = "An active aim of the client could not be read.";
  } else if (active->aim) {
    review.aim = coaching::judge_set(*active->aim, to_judged(set));
  } else {
    review.no_aim = active->why_none;
  }
  const auto own = set.client ? files.aims : std::filesystem::path();
  review.variation = coaching::nearest_variation(aims_for(set.movement.name, own), to_judged(set));
  review.cautions = cautions_in(set, files.logbook, review);
  return review;
}

}  // namespace strapline::cli
