#include "step_rules.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::coaching {
namespace {

constexpr std::string_view kCommon = "common practice";
constexpr std::string_view kTwoForTwo = "two-for-two: Baechle & Earle";
constexpr std::string_view kReserve = "Zourdos 2016, doi 10.1519/JSC.0000000000001049";
constexpr std::string_view kAgreed = "the limit agreed with the client";

const LadderStep& step_of(const NextInput& input) { return input.ladder.steps[input.step]; }

RuleFinding finding_of(NextRule rule, std::string_view source) {
  RuleFinding finding;
  finding.rule = rule;
  finding.source = source;
  return finding;
}

/// Of sets that are all needed: one that is clearly not met decides, then one within the noise,
/// then one that lacks what it takes.
RuleState all_of(const std::vector<RuleState>& states) {
  const auto any = [&](RuleState state) {
    return std::find(states.begin(), states.end(), state) != states.end();
  };
  if (states.empty()) return RuleState::missing;
  for (const RuleState state : {RuleState::not_met, RuleState::cannot_tell, RuleState::missing}) {
    if (any(state)) return state;
  }
  return RuleState::met;
}

RuleFinding pain_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::pain, kAgreed);
  finding.wanted = input.pain_limit;
  for (const LoggedPain& logged : input.pain) {
    const double age = std::floor(input.today) - std::floor(logged.day);
    const bool counts = age >= 0.0 && age <= input.parameters.pain_days;
    if (!counts || !(logged.pain > input.pain_limit)) continue;
    if (finding.found && *finding.found >= logged.pain) continue;
    finding.state = RuleState::not_met;
    finding.found = logged.pain;
    finding.place = logged.place.empty() ? logged.movement : logged.place;
    finding.sets = {logged.set};
  }
  if (finding.state == RuleState::not_met || input.sets.empty()) return finding;
  const auto sessions = sessions_of(input.sets);
  // Pain of the step's own last session counts however long ago that was.
  finding.state = RuleState::met;
  for (const StepSet& set : sessions.back()) {
    if (!set.pain) {
      if (finding.state == RuleState::met) finding.state = RuleState::missing;
      finding.sets.push_back(set.name);
    } else if (*set.pain > input.pain_limit) {
      finding.state = RuleState::not_met;
      finding.found = std::max(finding.found.value_or(0.0), *set.pain);
      finding.sets = {set.name};
      finding.place = set.pain_place.empty() ? step_of(input).movement : set.pain_place;
      return finding;
    }
  }
  return finding;
}

RuleFinding recent_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::recent, kCommon);
  finding.wanted = input.parameters.break_days;
  const double age = std::floor(input.today) - std::floor(input.sets.back().day);
  finding.found = age;
  finding.sets = {input.sets.back().name};
  finding.state = age <= input.parameters.break_days ? RuleState::met : RuleState::not_met;
  return finding;
}

RuleFinding sessions_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::sessions, kTwoForTwo);
  const auto sessions = sessions_at_this_load(input.sets);
  finding.found = static_cast<double>(sessions.size());
  finding.wanted = step_of(input).exit.sessions;
  finding.state = *finding.found >= *finding.wanted ? RuleState::met : RuleState::missing;
  for (const Session& session : sessions) finding.sets.push_back(session.back().name);
  return finding;
}

RuleState state_of(SetVerdict verdict) {
  switch (verdict) {
    case SetVerdict::met:
      return RuleState::met;
    case SetVerdict::not_met:
      return RuleState::not_met;
    case SetVerdict::cannot_tell:
      return RuleState::cannot_tell;
    case SetVerdict::not_judged:
      break;
  }
  return RuleState::missing;
}

RuleFinding aim_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::within_aim, kCommon);
  std::vector<RuleState> states;
  double met = 0.0;
  for (const Session& session : counting_sessions(input)) {
    for (const StepSet& set : session) {
      states.push_back(state_of(set.verdict));
      if (states.back() == RuleState::met) met += 1.0;
      finding.sets.push_back(set.name);
    }
  }
  finding.state = all_of(states);
  finding.found = met;
  finding.wanted = static_cast<double>(states.size());
  return finding;
}

/// Extra reps done; or the reps asked for, with as many in reserve as the extra ones.
RuleState reps_state(const StepSet& last, const LadderStep& step) {
  const int wanted = step.reps + step.exit.extra_reps;
  if (last.full_reps >= wanted) return RuleState::met;
  if (last.full_reps < step.reps) return RuleState::not_met;
  const auto reserve = reserve_of(last);
  if (!reserve) return RuleState::missing;
  return last.full_reps + *reserve >= wanted ? RuleState::met : RuleState::not_met;
}

RuleFinding reps_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::repetitions, kTwoForTwo);
  const LadderStep& step = step_of(input);
  std::vector<RuleState> states;
  for (const Session& session : counting_sessions(input)) {
    const StepSet& last = working_set(session);
    states.push_back(reps_state(last, step));
    const double done = last.full_reps;
    finding.found = std::min(finding.found.value_or(done), done);
    finding.sets.push_back(last.name);
  }
  finding.wanted = step.reps + step.exit.extra_reps;
  finding.state = all_of(states);
  return finding;
}

RuleFinding reserve_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::reserve, kReserve);
  finding.wanted = step_of(input).exit.reserve;
  const std::vector<Session> sessions = sessions_of(input.sets);
  const StepSet& last = working_set(sessions.back());
  finding.sets = {last.name};
  finding.found = reserve_of(last);
  if (!finding.found) return finding;
  finding.state = *finding.found >= *finding.wanted ? RuleState::met : RuleState::not_met;
  return finding;
}

/// Kept where a loss of more than the step allows lies outside the 95 % interval.
RuleFinding range_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::range_kept, "MDC95: Weir 2005, doi 10.1519/15184.1");
  const double loss = step_of(input).exit.range_loss;
  finding.wanted = loss;
  finding.change = input.range_change;
  if (!finding.change) return finding;
  finding.found = finding.change->difference;
  if (finding.change->low > -loss) {
    finding.state = RuleState::met;
  } else if (finding.change->high < 0.0) {
    finding.state = RuleState::not_met;
  } else {
    finding.state = RuleState::cannot_tell;
  }
  return finding;
}

RuleFinding cautions_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::cautions, kCommon);
  finding.state = input.cautions.empty() ? RuleState::met : RuleState::not_met;
  finding.cautions = input.cautions;
  finding.sets = {input.sets.back().name};
  return finding;
}

/// What coach and client agreed goes before every ladder.
RuleFinding limit_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::load_agreed, kAgreed);
  finding.wanted = input.load_limit_kg;
  const auto sessions = sessions_of(input.sets);
  finding.found = working_set(sessions.back()).load_kg;
  const bool above = finding.found && *finding.found > *finding.wanted;
  finding.state = above ? RuleState::not_met : RuleState::met;
  return finding;
}

/// A step about load ends at a load; in multiples of a body mass that nobody entered it has no end.
RuleFinding goal_rule(const NextInput& input) {
  RuleFinding finding = finding_of(NextRule::load_goal, kCommon);
  const ScaledLoad& goal = *step_of(input).exit.load;
  finding.wanted = kilograms(goal, input.body_mass_kg);
  finding.state = finding.wanted ? RuleState::met : RuleState::missing;
  return finding;
}

RuleState compared(const std::optional<double>& found, double wanted) {
  if (!found) return RuleState::missing;
  return *found >= wanted ? RuleState::met : RuleState::not_met;
}

RuleFinding entry_range(const NextInput& input, const EntryCondition& entry) {
  RuleFinding finding = finding_of(NextRule::entry_range, kCommon);
  finding.wanted = entry.range;
  if (!input.envelope) return finding;
  const Envelope& envelope = *input.envelope;
  finding.found = furthest_on_days(envelope, envelope.parameters.least_days);
  const double slack = envelope.parameters.range_slack;
  finding.state = compared(finding.found, *entry.range - slack);
  return finding;
}

RuleFinding entry_load(const NextInput& input, const EntryCondition& entry) {
  RuleFinding finding = finding_of(NextRule::entry_load, kCommon);
  finding.wanted = kilograms(*entry.load, input.body_mass_kg);
  if (!input.envelope || !finding.wanted) return finding;
  for (const EnvelopeBin& bin : input.envelope->bins) {
    if (!bin.accustomed) continue;
    finding.found = std::max(finding.found.value_or(0.0), bin.accustomed->counts_as_kg);
  }
  finding.state = compared(finding.found, *finding.wanted);
  return finding;
}

bool ends_short(const Session& session, const LadderStep& step) {
  const StepSet& last = working_set(session);
  const auto reserve = reserve_of(last);
  return last.full_reps < step.reps && reserve && *reserve <= 0.0;
}

bool misses_the_aim(const Session& session) {
  return std::all_of(session.begin(), session.end(),
                     [](const StepSet& set) { return set.verdict == SetVerdict::not_met; });
}

}  // namespace

std::vector<Session> sessions_of(const std::vector<StepSet>& sets) {
  std::vector<Session> sessions;
  for (const StepSet& set : sets) {
    const bool same_day =
        !sessions.empty() && std::floor(sessions.back().back().day) == std::floor(set.day);
    if (same_day) {
      sessions.back().push_back(set);
    } else {
      sessions.push_back({set});
    }
  }
  return sessions;
}

const StepSet& working_set(const Session& session) {
  const StepSet* working = &session.front();
  for (const StepSet& set : session) {
    if (set.load_kg.value_or(0.0) >= working->load_kg.value_or(0.0)) working = &set;
  }
  return *working;
}

std::vector<Session> sessions_at_this_load(const std::vector<StepSet>& sets) {
  std::vector<Session> sessions = sessions_of(sets);
  if (sessions.empty()) return sessions;
  const double load = working_set(sessions.back()).load_kg.value_or(0.0);
  const double tolerance = ErrorParameters{}.load_tolerance * load;
  auto first = sessions.end();
  while (first != sessions.begin() &&
         std::abs(working_set(*std::prev(first)).load_kg.value_or(0.0) - load) <= tolerance) {
    --first;
  }
  sessions.erase(sessions.begin(), first);
  return sessions;
}

std::vector<Session> counting_sessions(const NextInput& input) {
  std::vector<Session> sessions = sessions_at_this_load(input.sets);
  const auto wanted = static_cast<std::size_t>(step_of(input).exit.sessions);
  if (sessions.size() > wanted) {
    sessions.erase(sessions.begin(), sessions.end() - static_cast<std::ptrdiff_t>(wanted));
  }
  return sessions;
}

std::vector<RuleFinding> step_findings(const NextInput& input) {
  if (input.sets.empty()) {
    // Without a set the other rules would all say the same.
    const RuleFinding pain = pain_rule(input);
    if (pain.state != RuleState::not_met) return {sessions_rule(input)};
    return {pain, sessions_rule(input)};
  }
  std::vector<RuleFinding> findings = {pain_rule(input),  recent_rule(input),  sessions_rule(input),
                                       aim_rule(input),   reps_rule(input),    reserve_rule(input),
                                       range_rule(input), cautions_rule(input)};
  if (step_of(input).exit.load) findings.push_back(goal_rule(input));
  if (input.load_limit_kg) findings.push_back(limit_rule(input));
  return findings;
}

std::vector<RuleFinding> entry_findings(const NextInput& input, const LadderStep& to) {
  std::vector<RuleFinding> findings;
  if (!to.entry) return findings;
  if (to.entry->range) findings.push_back(entry_range(input, *to.entry));
  if (to.entry->load) findings.push_back(entry_load(input, *to.entry));
  return findings;
}

bool asks_too_much(const NextInput& input) {
  const LadderStep& step = step_of(input);
  const std::vector<Session> sessions = counting_sessions(input);
  if (static_cast<int>(sessions.size()) < step.exit.sessions) return false;
  return std::all_of(sessions.begin(), sessions.end(), [&](const Session& session) {
    return misses_the_aim(session) || ends_short(session, step);
  });
}

}  // namespace strapline::coaching
