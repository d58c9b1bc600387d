#include "roster.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "strapline/coaching/wording_next.hpp"

#include "client_cautions.hpp"

namespace strapline::cli {
namespace {

using coaching::CautionKind;
using coaching::Proposal;

constexpr double kRecentDays = 28.0;

void add_once(std::vector<CautionKind>& kinds, CautionKind kind) {
  if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end()) kinds.push_back(kind);
}

/// Pain above the limit that a next step would stop for, in any movement.
bool has_standing_pain(const StandingInput& input) {
  return !coaching::standing_pain(logged_pain(input.history), input.today, input.client.limits.pain)
              .empty();
}

/// Of the latest day's sets; those that a ladder has looked at already are in `looked_at`.
void take_cautions(const StandingInput& input, const std::set<std::string>& looked_at,
                   RosterRow& row) {
  if (has_standing_pain(input)) add_once(row.cautions, CautionKind::pain_above_limit);
  const double last = std::floor(input.history.back().day);
  for (const DatedSet& dated : input.history) {
    if (std::floor(dated.day) != last || looked_at.contains(dated.set.set_id)) continue;
    for (const auto& caution : cautions_of(dated, input.history, input.client.limits)) {
      add_once(row.cautions, caution.kind);
    }
  }
}

void take_latest(const StandingInput& input, RosterRow& row) {
  const DatedSet& last = input.history.back();
  const auto& said = last.set.description;
  row.day = last.day;
  row.movement = said.variation.empty() ? said.movement : said.movement + ", " + said.variation;
  row.load_kg = said.load_kg;
  for (const DatedSet& dated : input.history) {
    if (input.today - dated.day <= kRecentDays) ++row.recent_sets;
  }
}

/// The ladders; names the sets of their last sessions, whose cautions come along.
std::set<std::string> take_steps(const StandingInput& input, RosterRow& row) {
  std::set<std::string> looked_at;
  for (const auto& [ladder, step] : input.client.ladder_steps) {
    const auto standing = decide_standing(input, ladder);
    if (!standing) {
      row.faults.push_back(standing.error());
      continue;
    }
    for (const DatedSet& dated : standing->session) looked_at.insert(dated.set.set_id);
    for (const CautionKind kind : standing->cautions) add_once(row.cautions, kind);
    row.steps.push_back(
        {ladder, step, standing->next, coaching::say_proposal(standing->next, standing->ladder)});
  }
  return looked_at;
}

bool any_proposal(const RosterRow& row, std::initializer_list<Proposal> proposals) {
  return std::any_of(row.steps.begin(), row.steps.end(), [&](const RosterStep& step) {
    return std::find(proposals.begin(), proposals.end(), step.next.proposal) != proposals.end();
  });
}

}  // namespace

Attention attention_of(const RosterRow& row) {
  if (any_proposal(row, {Proposal::stop})) return Attention::stop;
  if (!row.cautions.empty()) return Attention::caution;
  if (any_proposal(row, {Proposal::go_on, Proposal::step_back})) return Attention::due;
  return Attention::none;
}

RosterRow roster_row(const coaching::Client& client, const ClientFiles& files, double today) {
  RosterRow row;
  row.client = client.name;
  const auto history = read_history(files.logbook, today, kStandingDays);
  if (!history) {
    row.faults.push_back(history.error());
    return row;
  }
  const StandingInput input{client, files, *history, today};
  const auto looked_at = take_steps(input, row);
  if (history->empty()) return row;
  take_latest(input, row);
  take_cautions(input, looked_at, row);
  return row;
}

}  // namespace strapline::cli
