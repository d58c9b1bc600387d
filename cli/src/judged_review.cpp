#include "judged_review.hpp"

#include <system_error>

#include <fmt/format.h>

#include "strapline/recordings/logbook.hpp"

#include "client_aims.hpp"
#include "clients_folder.hpp"
#include "loaded_sets.hpp"

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

/// The client's earlier sets; a logbook that is not there holds none.
std::vector<coaching::ComparedSet> history_of(const ReviewedSet& set,
                                              const std::filesystem::path& logbook,
                                              std::vector<dsp::Failure>& faults) {
  std::vector<coaching::ComparedSet> history;
  std::error_code error;
  if (!set.client || !std::filesystem::exists(logbook, error)) return history;
  const auto same_movement = [&](const recordings::LoggedSet& logged) {
    return logged.description.movement == set.movement.name;
  };
  const auto read = recordings::read_logbook(logbook, {recordings::sets_where(same_movement), {}});
  if (!read) {
    faults.push_back(read.error());
    return history;
  }
  for (const auto& logged : read->sets) {
    if (same_movement(logged)) history.push_back(to_compared(logged));
  }
  return history;
}

coaching::CautionInput caution_input(const ReviewedSet& set, const std::filesystem::path& logbook,
                                     JudgedReview& review) {
  coaching::CautionInput input;
  recordings::LoggedSet described;
  described.description = set.recording.description;
  input.set = to_compared(described);
  input.reps = set.analysis.reps;
  input.limits = review.limits;
  input.history = history_of(set, logbook, review.faults);
  return input;
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
  review.cautions = coaching::find_cautions(caution_input(set, files.logbook, review));
  return review;
}

}  // namespace strapline::cli
