#pragma once

#include <string>
#include <vector>

#include "strapline/acquisition/session_result.hpp"

#include "live_view.hpp"
#include "record_plan.hpp"

namespace strapline::cli {

/// How a recording session went.
struct RecordOutcome {
  acquisition::Result<acquisition::SessionResult> session;
  bool journal_made = false;
  bool began = false;                 ///< the straps were streaming: the journal may hold readings
  std::vector<std::string> losses{};  ///< straps that went away for good, one line each
  int full_reps = 0;                  ///< counted live, in the set
  int part_reps = 0;
};

/// Connects the straps of the plan, records until the end that the plan, the person or the straps
/// set, and shows it live. `typed`: the person moves on from part to part with the Enter key.
[[nodiscard]] RecordOutcome record_session(const RecordPlan& plan, bool typed, LiveView& view);

}  // namespace strapline::cli
