#pragma once

#include <vector>

#include "strapline/coaching/next_step.hpp"

namespace strapline::coaching {

/// The sets of one day.
using Session = std::vector<StepSet>;

/// The step's sets by day, the latest last.
[[nodiscard]] std::vector<Session> sessions_of(const std::vector<StepSet>& sets);

/// The last set with the session's heaviest load: a lighter one after it earns nothing more.
[[nodiscard]] const StepSet& working_set(const Session& session);

/// The sessions running, up to the latest, whose working sets had the latest one's load.
[[nodiscard]] std::vector<Session> sessions_at_this_load(const std::vector<StepSet>& sets);

/// The last of them that count for the step's exit; fewer where there are fewer.
[[nodiscard]] std::vector<Session> counting_sessions(const NextInput& input);

/// Every rule about the step stood on, in order; those about the step after it are not among them.
[[nodiscard]] std::vector<RuleFinding> step_findings(const NextInput& input);

/// What the step `to` asks before it may be stood on.
[[nodiscard]] std::vector<RuleFinding> entry_findings(const NextInput& input, const LadderStep& to);

/// True where every set of the sessions that count clearly misses the aim, or ends below the reps
/// asked for with nothing in reserve; false where there are too few sessions.
[[nodiscard]] bool asks_too_much(const NextInput& input);

}  // namespace strapline::coaching
