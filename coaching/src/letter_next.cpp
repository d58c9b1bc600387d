#include <algorithm>

#include <fmt/format.h>

#include "strapline/coaching/wording.hpp"
#include "strapline/coaching/wording_judgement.hpp"
#include "strapline/coaching/wording_next.hpp"

#include "letter_words.hpp"
#include "wording_numbers.hpp"

namespace strapline::coaching {
namespace {

/// Nothing was done on the step yet.
bool is_begun(const NextStep& next) {
  return std::none_of(next.findings.begin(), next.findings.end(), [](const RuleFinding& finding) {
    return finding.rule == NextRule::sessions && finding.found == 0.0;
  });
}

std::string next_key(const NextStep& next) {
  if (next.proposal == Proposal::hold && !is_begun(next)) {
    return next.to_load_kg ? "next.begin_load" : "next.begin";
  }
  switch (next.proposal) {
    case Proposal::stop:
      return "next.stop";
    case Proposal::hold:
      return next.top ? "next.top" : "next.hold";
    case Proposal::step_back:
      if (next.what == Proposed::load) return "next.step_back_load";
      return next.what == Proposed::step ? "next.step_back_step" : "next.step_back";
    case Proposal::go_on:
      break;
  }
  if (next.what == Proposed::load) return "next.go_on_load";
  if (next.what == Proposed::reps) return "next.go_on_reps";
  return next.to_load_kg ? "next.go_on_step_load" : "next.go_on_step";
}

bool is_angle(NextRule rule) {
  return rule == NextRule::range_kept || rule == NextRule::entry_range;
}

std::string amount(const std::optional<double>& value, NextRule rule) {
  if (!value) return {};
  return is_angle(rule) ? format_value(*value, dsp::Unit::radian) : plain_number(*value);
}

std::string state_key(RuleState state) {
  switch (state) {
    case RuleState::met:
      return "met";
    case RuleState::not_met:
      return "not_met";
    case RuleState::cannot_tell:
      return "cannot_tell";
    case RuleState::missing:
      break;
  }
  return "missing";
}

std::string evidence_of(const RuleFinding& finding) {
  std::string sets;
  for (const std::string& set : finding.sets) sets += (sets.empty() ? ": " : ", ") + set;
  return fmt::format("rule {}: {} ({}; {}){}", rule_name(finding.rule), say_rule(finding),
                     state_name(finding.state), finding.source, sets);
}

/// Why the proposal is not to go on: every rule that is not met, in the client's words.
void write_reason(const RuleFinding& finding, LetterWriter& writer) {
  const auto further = finding.change ? finding.change->further_sets : std::optional<int>();
  std::string key =
      "because." + std::string(rule_name(finding.rule)) + "_" + state_key(finding.state);
  if (further && writer.has(key + "_sets")) key += "_sets";
  if (!writer.has(key)) return;
  writer.add(key,
             {{"found", amount(finding.found, finding.rule)},
              {"wanted", amount(finding.wanted, finding.rule)},
              {"place", finding.place},
              {"sets", std::to_string(further.value_or(0))}},
             {evidence_of(finding)});
}

std::string caution_amount(const Caution& caution, double value) {
  const bool plain = caution.kind == CautionKind::pain_above_limit ||
                     caution.kind == CautionKind::load_above_agreed;
  return plain ? plain_number(value) : format_value(value, caution.unit);
}

void write_caution(const Caution& caution, const std::string& set, LetterWriter& writer) {
  writer.add(
      "caution." + std::string(caution_name(caution.kind)),
      {{"measure", writer.measure(caution.measure)},
       {"from", caution_amount(caution, caution.from)},
       {"to", caution_amount(caution, caution.to)}},
      {fmt::format("{}: {} ({})", set, say_caution(caution, "named there"), caution.source)});
}

}  // namespace

/// Pain that stops goes before whatever a ladder says.
void write_stop(const std::vector<LoggedPain>& pain, LetterWriter& writer) {
  std::vector<std::string> evidence;
  for (const LoggedPain& logged : pain) {
    evidence.push_back(fmt::format("{}: {}", logged.set, format_pain(logged.pain, logged.place)));
  }
  writer.add("next.stop", {}, evidence);
  const LoggedPain& most = *std::max_element(
      pain.begin(), pain.end(), [](const auto& a, const auto& b) { return a.pain < b.pain; });
  writer.add("because.pain_not_met",
             {{"found", plain_number(most.pain)},
              {"place", most.place.empty() ? most.movement : most.place}},
             evidence);
}

void write_next(const LetterInput& input, LetterWriter& writer) {
  if (!input.pain.empty()) return write_stop(input.pain, writer);
  if (!input.next || !input.ladder) return;
  const NextStep& next = *input.next;
  const auto kg = [](const std::optional<double>& load) {
    return plain_number(load.value_or(0.0));
  };
  std::vector<std::string> evidence;
  for (const RuleFinding& finding : next.findings) evidence.push_back(evidence_of(finding));
  writer.add(next_key(next),
             {{"step", input.ladder->steps[next.to_step].title},
              {"kg", kg(next.load_kg)},
              {"to_kg", kg(next.to_load_kg)},
              {"reps", std::to_string(next.to_reps.value_or(0))}},
             evidence);
  if (next.proposal == Proposal::go_on) {
    writer.add("next.every_rule", {}, evidence);
    writer.add(
        "next.one_thing", {},
        {fmt::format("ladder {}: one new thing at a step (common practice)", input.ladder->name)});
    return;
  }
  for (const RuleFinding& finding : next.findings) {
    const bool told = next.proposal != Proposal::stop || finding.rule == NextRule::pain;
    if (!is_begun(next) && finding.rule == NextRule::sessions) continue;  // said already
    if (told && finding.state != RuleState::met) write_reason(finding, writer);
  }
}

void write_cautions(const LetterInput& input, LetterWriter& writer) {
  for (const LetterSet& set : input.session) {
    for (const Caution& caution : set.cautions) write_caution(caution, set.name, writer);
  }
  for (const std::string& caution : input.movement_cautions) {
    writer.add_text(caution, {"movement " + input.movement + ": its usual cautions"});
  }
}

}  // namespace strapline::coaching
