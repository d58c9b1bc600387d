#include "standing.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/coaching/judgement.hpp"

#include "client_aims.hpp"
#include "client_cautions.hpp"
#include "client_ladders.hpp"
#include "loaded_sets.hpp"

namespace strapline::cli {
namespace {

using coaching::Client;
using coaching::Ladder;
using coaching::LadderStep;
using coaching::NextInput;

/// Of the history; not copied, because their measures are many.
using SetsOnStep = std::vector<const DatedSet*>;

dsp::Result<std::size_t> stood_on(const Client& client, const Ladder& ladder,
                                  const std::string& name) {
  const auto known = client.ladder_steps.find(name);
  std::string steps;
  for (const LadderStep& step : ladder.steps) steps += (steps.empty() ? "" : ", ") + step.name;
  const std::string todo = "set one with strapline client edit \"" + client.name + "\" --ladder " +
                           name + "=STEP: " + steps;
  if (known == client.ladder_steps.end()) {
    return dsp::fail(client.name + " stands on no step of the ladder '" + name + "'", "", todo);
  }
  const auto step = coaching::find_step(ladder, known->second);
  if (step) return *step;
  return dsp::fail("the ladder '" + name + "' has no step '" + known->second + "'",
                   client.name + "'s file", todo);
}

coaching::LoadedWith loaded_with(const DatedSet& dated, const Client& client) {
  return {dated.set.description.load_kg, client.body_mass_kg};
}

bool is_on(const DatedSet& dated, const NextInput& input, const Client& client) {
  const auto& description = dated.set.description;
  return coaching::step_of(input.ladder, {description.movement, description.variation,
                                          loaded_with(dated, client)}) == input.step;
}

coaching::StepSet to_step_set(const DatedSet& dated, const coaching::Aim& aim,
                              const Client& client) {
  const auto& said = dated.set.description;
  // Sessions further back than those with their reps do not count for the step.
  const auto verdict = dated.set.reps.empty()
                           ? coaching::SetVerdict::not_judged
                           : coaching::whole_verdict(judge_dated(dated, aim, client));
  return {dated.set.file, dated.day,           said.load_kg, said.effort_rpe, said.reps_in_reserve,
          said.pain,      dated.set.full_reps, verdict,      said.pain_place};
}

/// How the range changed on the step; empty where it cannot be compared.
std::optional<coaching::Change> range_change(const SetsOnStep& on_step) {
  std::vector<coaching::ComparedSet> sets;
  for (const DatedSet* dated : on_step) sets.push_back(to_compared(dated->set, {kRange}));
  if (sets.empty()) return std::nullopt;
  const auto comparison = coaching::compare_sets(std::move(sets), {});
  if (!comparison) return std::nullopt;
  for (const auto& finding : comparison->findings) {
    if (finding.measure == kRange) return finding.change;
  }
  return std::nullopt;
}

std::vector<DatedSet> last_day(const SetsOnStep& on_step) {
  std::vector<DatedSet> session;
  for (const DatedSet* dated : on_step) {
    if (std::floor(dated->day) == std::floor(on_step.back()->day)) session.push_back(*dated);
  }
  return session;
}

/// What was seen in the session whatever the aim; pain has a rule of its own.
std::vector<coaching::CautionKind> open_cautions(const std::vector<DatedSet>& session,
                                                 const StandingInput& input) {
  std::vector<coaching::CautionKind> kinds;
  for (const DatedSet& dated : session) {
    for (const auto& caution : cautions_of(dated, input.history, input.client.limits)) {
      const bool known = std::find(kinds.begin(), kinds.end(), caution.kind) != kinds.end();
      if (caution.kind != coaching::CautionKind::pain_above_limit && !known) {
        kinds.push_back(caution.kind);
      }
    }
  }
  return kinds;
}

coaching::Envelope envelope_for(const std::string& movement, const StandingInput& input) {
  std::vector<coaching::HandledSet> handled;
  for (const DatedSet& dated : input.history) {
    if (dated.set.description.movement == movement) handled.push_back(to_handled(dated, kRange));
  }
  coaching::EnvelopeParameters parameters;
  parameters.pain_limit = input.client.limits.pain;
  return coaching::make_envelope(handled, input.today, parameters);
}

NextInput input_for(const Ladder& ladder, std::size_t step, const StandingInput& input) {
  NextInput next;
  next.ladder = ladder;
  next.step = step;
  next.today = input.today;
  next.pain_limit = input.client.limits.pain;
  next.pain = logged_pain(input.history);
  next.body_mass_kg = input.client.body_mass_kg;
  const auto& limits = input.client.limits.load_kg;
  const auto limit = limits.find(ladder.steps[step].movement);
  if (limit != limits.end()) next.load_limit_kg = limit->second;
  const std::size_t above = std::min(step + 1, ladder.steps.size() - 1);
  next.envelope = envelope_for(ladder.steps[above].movement, input);
  return next;
}

}  // namespace

coaching::AimJudgement judge_dated(const DatedSet& dated, const coaching::Aim& aim,
                                   const Client& client) {
  const auto& said = dated.set.description;
  return coaching::judge_set(aim, {said.movement, said.variation, loaded_with(dated, client),
                                   dated.set.reps, client.smallest_that_matters});
}

dsp::Result<Standing> decide_standing(const StandingInput& input, const std::string& name) {
  const auto ladder = find_ladder(name, input.files.ladders);
  if (!ladder) return tl::make_unexpected(ladder.error());
  const auto step = stood_on(input.client, *ladder, ladder->name);
  if (!step) return tl::make_unexpected(step.error());
  const auto aim = find_aim(ladder->steps[*step].aim, input.files.aims);
  if (!aim) return tl::make_unexpected(aim.error());
  NextInput next = input_for(*ladder, *step, input);
  SetsOnStep on_step;
  for (const DatedSet& dated : input.history) {
    if (!is_on(dated, next, input.client)) continue;
    on_step.push_back(&dated);
    next.sets.push_back(to_step_set(dated, *aim, input.client));
  }
  Standing standing{*ladder, *aim, {}, {}, {}};
  if (!on_step.empty()) standing.session = last_day(on_step);
  next.range_change = range_change(on_step);
  next.cautions = standing.cautions = open_cautions(standing.session, input);
  standing.next = coaching::decide_next(next);
  return standing;
}

}  // namespace strapline::cli
