#include "strapline/coaching/wording_next.hpp"

#include <fmt/format.h>

#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"

#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

std::string angle(double rad) { return format_value(rad, dsp::Unit::radian); }

std::string number(const std::optional<double>& value) {
  return value ? plain_number(*value) : std::string("?");
}

std::string say_go_on(const NextStep& next, const Ladder& ladder) {
  const LadderStep& to = ladder.steps[next.to_step];
  switch (next.what) {
    case Proposed::load:
      return fmt::format("Go on: {} instead of {}, the rest as it is.", kilograms(*next.to_load_kg),
                         kilograms(*next.load_kg));
    case Proposed::reps:
      return fmt::format(
          "Go on: {} reps with the same load. One plate more would be more than 10 %, so the reps "
          "come first.",
          *next.to_reps);
    case Proposed::step:
    case Proposed::nothing:
      break;
  }
  const std::string load =
      next.to_load_kg ? fmt::format(", beginning with {}", kilograms(*next.to_load_kg)) : "";
  return fmt::format("Go on to the next step: {}{}.", to.title, load);
}

std::string say_step_back(const NextStep& next, const Ladder& ladder) {
  if (next.what == Proposed::load) {
    return fmt::format("Step back: {} instead of {}. Why stands below.",
                       kilograms(*next.to_load_kg), kilograms(next.load_kg.value_or(0.0)));
  }
  if (next.what == Proposed::step) {
    return fmt::format("Step back to: {}.", ladder.steps[next.to_step].title);
  }
  return "Step back: this is the first step of the ladder; take fewer reps, more help or less "
         "range.";
}

bool has_no_set(const NextStep& next) {
  for (const RuleFinding& finding : next.findings) {
    if (finding.rule == NextRule::sessions) return finding.found == 0.0;
  }
  return false;
}

std::string say_hold(const NextStep& next) {
  if (has_no_set(next)) {
    return "Hold: no set of this step is in the logbook yet, or none with the movement, the "
           "variation and a logged load that it asks for.";
  }
  if (next.top) {
    return "Hold: every rule is met, and this is the last step of the ladder. Another ladder or "
           "another aim is the coach's choice.";
  }
  return "Hold: the same step and the same load again. What is missing stands below.";
}

std::string say_pain_rule(const RuleFinding& finding) {
  const std::string limit = number(finding.wanted);
  switch (finding.state) {
    case RuleState::met:
      return fmt::format("pain: none above {}/10 in the last session, nor anywhere in a week",
                         limit);
    case RuleState::not_met:
      return fmt::format("pain: {}/10 logged ({}), the limit is {}/10", number(finding.found),
                         finding.place, limit);
    case RuleState::cannot_tell:
    case RuleState::missing:
      break;
  }
  return "pain: not logged in the last session; ask, and enter it with strapline note --pain "
         "(0 where there was none)";
}

std::string say_recent_rule(const RuleFinding& finding) {
  return fmt::format("last trained: {} days ago, {} at most", number(finding.found),
                     number(finding.wanted));
}

std::string say_sessions_rule(const RuleFinding& finding) {
  return fmt::format("sessions: {} running on this step at this load, {} asked for",
                     number(finding.found), number(finding.wanted));
}

std::string say_aim_rule(const RuleFinding& finding) {
  const std::string count =
      fmt::format("within the aim: {} of {} sets", number(finding.found), number(finding.wanted));
  switch (finding.state) {
    case RuleState::met:
    case RuleState::not_met:
      return count;
    case RuleState::cannot_tell:
      return count + ", the others too close to call: more sets would tell";
    case RuleState::missing:
      break;
  }
  return count + "; not measured in the others: see what strapline review says they lack";
}

std::string say_reps_rule(const RuleFinding& finding) {
  const std::string count =
      fmt::format("reps: {} in the last set of the sessions that count, {} asked for",
                  number(finding.found), number(finding.wanted));
  if (finding.state != RuleState::missing) return count;
  return count +
         " or as many in reserve; effort was not logged: enter it with strapline note --rir or "
         "--rpe";
}

std::string say_reserve_rule(const RuleFinding& finding) {
  if (finding.state == RuleState::missing) {
    return "reps in reserve: not logged in the last set; enter them with strapline note --rir or "
           "--rpe";
  }
  return fmt::format("reps in reserve: {} in the last set, {} asked for", number(finding.found),
                     number(finding.wanted));
}

std::string say_further(const Change& change) {
  if (!change.further_sets) return "more sets would tell";
  return fmt::format("about {} more {} on other days would tell", *change.further_sets,
                     *change.further_sets == 1 ? "set" : "sets");
}

std::string say_range_rule(const RuleFinding& finding) {
  if (!finding.change) {
    return "range kept: not measured on two days of this step yet";
  }
  const Change& change = *finding.change;
  const std::string interval =
      fmt::format("range kept: {} from the first week that counts to the last (95 %: {} to {})",
                  format_difference(change.difference, dsp::Unit::radian),
                  format_difference(change.low, dsp::Unit::radian),
                  format_difference(change.high, dsp::Unit::radian));
  const std::string loss = angle(finding.wanted.value_or(0.0));
  switch (finding.state) {
    case RuleState::met:
      return interval + fmt::format(", no loss of {} or more", loss);
    case RuleState::not_met:
      return interval + ", less than at first by more than the noise";
    case RuleState::cannot_tell:
    case RuleState::missing:
      break;
  }
  return interval +
         fmt::format("; a loss of {} cannot be told from noise yet, {}", loss, say_further(change));
}

std::string say_cautions_rule(const RuleFinding& finding) {
  if (finding.cautions.empty()) return "cautions: none open";
  std::string names;
  for (const CautionKind kind : finding.cautions) {
    names += (names.empty() ? "" : ", ") + std::string(caution_title(kind));
  }
  return "cautions open: " + names;
}

std::string say_entry_range(const RuleFinding& finding) {
  const std::string wanted = angle(finding.wanted.value_or(0.0));
  if (!finding.found) {
    return fmt::format("for the next step: a range of {} has to be accustomed; none is yet",
                       wanted);
  }
  return fmt::format("for the next step: accustomed to a range of {}, {} asked for",
                     angle(*finding.found), wanted);
}

std::string say_entry_load(const RuleFinding& finding) {
  if (!finding.wanted) {
    return "for the next step: a load in multiples of body mass, which is not known; enter it with "
           "strapline client edit --mass";
  }
  if (!finding.found) {
    return fmt::format("for the next step: {} has to be accustomed; no load is yet",
                       kilograms(*finding.wanted));
  }
  return fmt::format("for the next step: accustomed to {}, {} asked for", kilograms(*finding.found),
                     kilograms(*finding.wanted));
}

std::string say_agreed(const RuleFinding& finding) {
  if (finding.state == RuleState::met) {
    return fmt::format("agreed load: {} at most", kilograms(*finding.wanted));
  }
  return fmt::format(
      "agreed load: {} at most, and this is {}; strapline client edit --most-load "
      "changes what was agreed",
      kilograms(*finding.wanted), kilograms(finding.found.value_or(0.0)));
}

std::string say_goal(const RuleFinding& finding) {
  if (finding.wanted) return fmt::format("this step ends at {}", kilograms(*finding.wanted));
  return "this step ends at a load in multiples of body mass, which is not known; enter it with "
         "strapline client edit --mass";
}

}  // namespace

std::string_view proposal_name(Proposal proposal) {
  switch (proposal) {
    case Proposal::go_on:
      return "go on";
    case Proposal::hold:
      return "hold";
    case Proposal::step_back:
      return "step back";
    case Proposal::stop:
      break;
  }
  return "stop";
}

std::string_view rule_name(NextRule rule) {
  switch (rule) {
    case NextRule::pain:
      return "pain";
    case NextRule::recent:
      return "recent";
    case NextRule::sessions:
      return "sessions";
    case NextRule::within_aim:
      return "within_aim";
    case NextRule::repetitions:
      return "repetitions";
    case NextRule::reserve:
      return "reserve";
    case NextRule::range_kept:
      return "range_kept";
    case NextRule::cautions:
      return "cautions";
    case NextRule::load_goal:
      return "load_goal";
    case NextRule::load_agreed:
      return "load_agreed";
    case NextRule::entry_range:
      return "entry_range";
    case NextRule::entry_load:
      break;
  }
  return "entry_load";
}

std::string_view state_name(RuleState state) {
  switch (state) {
    case RuleState::met:
      return "met";
    case RuleState::not_met:
      return "not met";
    case RuleState::cannot_tell:
      return "cannot tell yet";
    case RuleState::missing:
      break;
  }
  return "missing";
}

std::string say_proposal(const NextStep& next, const Ladder& ladder) {
  switch (next.proposal) {
    case Proposal::go_on:
      return say_go_on(next, ladder);
    case Proposal::hold:
      return say_hold(next);
    case Proposal::step_back:
      return say_step_back(next, ladder);
    case Proposal::stop:
      break;
  }
  return "Stop: pain above the limit was logged. No further step; see a licensed professional "
         "before going on.";
}

std::string say_rule(const RuleFinding& finding) {
  switch (finding.rule) {
    case NextRule::pain:
      return say_pain_rule(finding);
    case NextRule::recent:
      return say_recent_rule(finding);
    case NextRule::sessions:
      return say_sessions_rule(finding);
    case NextRule::within_aim:
      return say_aim_rule(finding);
    case NextRule::repetitions:
      return say_reps_rule(finding);
    case NextRule::reserve:
      return say_reserve_rule(finding);
    case NextRule::range_kept:
      return say_range_rule(finding);
    case NextRule::cautions:
      return say_cautions_rule(finding);
    case NextRule::load_goal:
      return say_goal(finding);
    case NextRule::load_agreed:
      return say_agreed(finding);
    case NextRule::entry_range:
      return say_entry_range(finding);
    case NextRule::entry_load:
      break;
  }
  return say_entry_load(finding);
}

}  // namespace strapline::coaching
