#pragma once

#include <string>
#include <string_view>

#include "strapline/coaching/next_step.hpp"

namespace strapline::coaching {

/// The words for the next step on a ladder.

/// "go on", "hold", "step back", "stop".
[[nodiscard]] std::string_view proposal_name(Proposal proposal);
/// Machine-readable: "within_aim".
[[nodiscard]] std::string_view rule_name(NextRule rule);
/// "met", "not met", "cannot tell yet", "missing".
[[nodiscard]] std::string_view state_name(RuleState state);

/// What is proposed, in a sentence or two, with the usual caution where it stops.
[[nodiscard]] std::string say_proposal(const NextStep& next, const Ladder& ladder);
/// One rule: what was asked, what was found, or what is missing and how to supply it.
[[nodiscard]] std::string say_rule(const RuleFinding& finding);

}  // namespace strapline::coaching
