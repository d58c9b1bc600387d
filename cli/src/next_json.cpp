#include "next_json.hpp"

#include "strapline/coaching/wording_judgement.hpp"
#include "strapline/coaching/wording_next.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::cli {
namespace {

using coaching::NextRule;
using coaching::RuleFinding;
using nlohmann::ordered_json;

/// Angles in degrees, whatever else as it is.
ordered_json amount(const std::optional<double>& value, NextRule rule) {
  if (!value) return {};
  const bool angle = rule == NextRule::range_kept || rule == NextRule::entry_range;
  return angle ? *value * dsp::display_factor(dsp::Unit::radian) : *value;
}

ordered_json finding_json(const RuleFinding& finding) {
  ordered_json json = {{"rule", coaching::rule_name(finding.rule)},
                       {"state", coaching::state_name(finding.state)},
                       {"found", amount(finding.found, finding.rule)},
                       {"wanted", amount(finding.wanted, finding.rule)},
                       {"says", coaching::say_rule(finding)},
                       {"sets", finding.sets},
                       {"source", finding.source}};
  if (finding.change && finding.change->further_sets) {
    json["further_sets"] = *finding.change->further_sets;
  }
  for (const coaching::CautionKind kind : finding.cautions) {
    json["cautions"].push_back(coaching::caution_name(kind));
  }
  return json;
}

ordered_json maybe(const auto& value) { return value ? ordered_json(*value) : ordered_json(); }

}  // namespace

ordered_json standing_json(const Standing& standing) {
  const coaching::NextStep& next = standing.next;
  ordered_json json = {{"ladder", standing.ladder.name},
                       {"step", standing.ladder.steps[next.step].name},
                       {"proposal", coaching::proposal_name(next.proposal)},
                       {"says", coaching::say_proposal(next, standing.ladder)},
                       {"to_step", standing.ladder.steps[next.to_step].name},
                       {"load_kg", maybe(next.load_kg)},
                       {"to_load_kg", maybe(next.to_load_kg)},
                       {"to_reps", maybe(next.to_reps)},
                       {"top", next.top}};
  json["findings"] = ordered_json::array();
  for (const RuleFinding& finding : next.findings)
    json["findings"].push_back(finding_json(finding));
  return json;
}

}  // namespace strapline::cli
