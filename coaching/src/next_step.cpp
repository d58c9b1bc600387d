#include "strapline/coaching/next_step.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "strapline/coaching/plan.hpp"

#include "step_rules.hpp"

namespace strapline::coaching {
namespace {

constexpr double kLoadSlack = 1e-6;  ///< kg

bool all_met(const std::vector<RuleFinding>& findings) {
  return std::all_of(findings.begin(), findings.end(),
                     [](const RuleFinding& finding) { return finding.state == RuleState::met; });
}

bool is_not_met(const std::vector<RuleFinding>& findings, NextRule rule) {
  return std::any_of(findings.begin(), findings.end(), [&](const RuleFinding& finding) {
    return finding.rule == rule && finding.state == RuleState::not_met;
  });
}

/// The heaviest of the last session.
std::optional<double> current_load(const NextInput& input) {
  const auto sessions = sessions_of(input.sets);
  std::optional<double> load;
  if (sessions.empty()) return load;
  for (const StepSet& set : sessions.back()) {
    if (set.load_kg) load = std::max(load.value_or(0.0), *set.load_kg);
  }
  return load;
}

double floor_to_plates(double load_kg, const EnvelopeParameters& loads) {
  return loads.plate_kg * std::floor(load_kg / loads.plate_kg + kLoadSlack);
}

/// The lightest load of a step's sets, where they are loaded at all.
std::optional<double> least_load(const LadderStep& step, const NextInput& input) {
  if (!step.loads || !step.loads->load.low) return std::nullopt;
  const auto kg = kilograms({step.loads->scale, *step.loads->load.low}, input.body_mass_kg);
  if (!kg) return std::nullopt;
  const double plates = input.loads.plate_kg;
  return plates * std::ceil(*kg / plates - kLoadSlack);
}

/// On a step that is about load, the load that ends it, while it is not reached yet.
bool load_is_left(const NextInput& input, const std::optional<double>& load) {
  const auto& goal = input.ladder.steps[input.step].exit.load;
  if (!goal || !load) return false;
  const auto kg = kilograms(*goal, input.body_mass_kg);
  return kg && *load < *kg - kLoadSlack;
}

/// True where a load may be proposed; notes it where the agreement forbids it.
bool is_agreed(const NextInput& input, const std::optional<double>& load_kg, NextStep& next) {
  if (!input.load_limit_kg || !load_kg || *load_kg <= *input.load_limit_kg) return true;
  for (RuleFinding& finding : next.findings) {
    if (finding.rule != NextRule::load_agreed) continue;
    finding.state = RuleState::not_met;
    finding.found = load_kg;
  }
  next.proposal = Proposal::hold;
  next.what = Proposed::nothing;
  next.to_step = next.step;
  next.to_load_kg.reset();
  return false;
}

void propose_load(const NextInput& input, NextStep& next) {
  const PlanStep up = next_load(*next.load_kg, 0.0, input.loads);
  if (!up.coarse) {
    next.what = Proposed::load;
    next.to_load_kg = up.set.load_kg;
    return;
  }
  // One plate more is too great a step: more reps first (common practice), then the plate.
  const LadderStep& step = input.ladder.steps[input.step];
  int most = step.reps;
  for (const StepSet& set : sessions_of(input.sets).back()) most = std::max(most, set.full_reps);
  constexpr int kRepsForAPlate = 4;
  if (most >= step.reps + kRepsForAPlate) {
    next.what = Proposed::load;
    next.to_load_kg = up.set.load_kg;
  } else {
    next.what = Proposed::reps;
    next.to_reps = most + 1;
  }
}

void propose_next_step(const NextInput& input, NextStep& next) {
  if (input.step + 1 == input.ladder.steps.size()) {
    next.top = true;
    next.proposal = Proposal::hold;
    return;
  }
  const LadderStep& to = input.ladder.steps[input.step + 1];
  const std::vector<RuleFinding> entry = entry_findings(input, to);
  next.findings.insert(next.findings.end(), entry.begin(), entry.end());
  if (!all_met(entry)) {
    next.proposal = Proposal::hold;
    return;
  }
  next.what = Proposed::step;
  next.to_step = input.step + 1;
  next.to_load_kg = least_load(to, input);
}

void go_on(const NextInput& input, NextStep& next) {
  next.proposal = Proposal::go_on;
  if (load_is_left(input, next.load_kg)) {
    propose_load(input, next);
  } else {
    propose_next_step(input, next);
  }
  (void)is_agreed(input, next.to_load_kg, next);
}

/// Down to what was agreed.
void step_back_to_limit(const NextInput& input, NextStep& next) {
  next.proposal = Proposal::step_back;
  next.what = Proposed::load;
  next.to_load_kg = floor_to_plates(*input.load_limit_kg, input.loads);
}

/// Less load on this step, else the step below, else nothing easier is known.
void step_back(const NextInput& input, NextStep& next) {
  next.proposal = Proposal::step_back;
  const auto least = least_load(input.ladder.steps[input.step], input);
  if (least && next.load_kg && *next.load_kg > *least + kLoadSlack) {
    next.what = Proposed::load;
    next.to_load_kg =
        std::max(*least, floor_to_plates(input.parameters.back_share * *next.load_kg, input.loads));
  } else if (input.step > 0) {
    next.what = Proposed::step;
    next.to_step = input.step - 1;
  }
}

}  // namespace

std::vector<LoggedPain> standing_pain(const std::vector<LoggedPain>& history, double today,
                                      double limit, double pain_days) {
  std::map<std::string, double> last_day;  // of each movement
  for (const LoggedPain& set : history) last_day[set.movement] = std::floor(set.day);
  std::vector<LoggedPain> standing;
  for (const LoggedPain& set : history) {
    const bool recent = std::floor(today) - std::floor(set.day) <= pain_days;
    const bool last = std::floor(set.day) == last_day[set.movement];
    if (set.pain > limit && (recent || last)) standing.push_back(set);
  }
  return standing;
}

std::optional<double> reserve_of(const StepSet& set) {
  if (set.reps_in_reserve) return set.reps_in_reserve;
  if (!set.effort_rpe) return std::nullopt;
  return 10.0 - *set.effort_rpe;
}

NextStep decide_next(const NextInput& input) {
  NextStep next;
  next.step = next.to_step = input.step;
  next.load_kg = current_load(input);
  next.findings = step_findings(input);
  if (is_not_met(next.findings, NextRule::pain)) {
    next.proposal = Proposal::stop;
  } else if (is_not_met(next.findings, NextRule::load_agreed)) {
    step_back_to_limit(input, next);
  } else if (is_not_met(next.findings, NextRule::recent) || asks_too_much(input)) {
    step_back(input, next);
  } else if (all_met(next.findings)) {
    go_on(input, next);
  }
  if (input.sets.empty() && next.proposal == Proposal::hold) {
    next.to_load_kg = least_load(input.ladder.steps[input.step], input);  // to begin with
  }
  return next;
}

}  // namespace strapline::coaching
