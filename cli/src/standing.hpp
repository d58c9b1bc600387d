#pragma once

#include <string>
#include <vector>

#include "strapline/coaching/next_step.hpp"

#include "client_history.hpp"
#include "clients_folder.hpp"

namespace strapline::cli {

/// Where a client stands on a ladder, and what comes next.
struct Standing {
  coaching::Ladder ladder;
  coaching::Aim aim;  ///< of the step stood on
  coaching::NextStep next;
  std::vector<DatedSet> session;                ///< the sets of the last day on this step
  std::vector<coaching::CautionKind> cautions;  ///< seen in them, pain aside
};

/// So far back sets are looked at when a next step is decided, days: as far as the envelope goes.
inline constexpr double kStandingDays = 84.0;

/// What `decide_standing` starts from.
struct StandingInput {
  const coaching::Client& client;
  const ClientFiles& files;
  const std::vector<DatedSet>& history;  ///< read_history over kStandingDays
  double today = 0.0;
};

/// A logged set against an aim.
[[nodiscard]] coaching::AimJudgement judge_dated(const DatedSet& dated, const coaching::Aim& aim,
                                                 const coaching::Client& client);

/// Decides the next step on one of the client's ladders. Fails where the client stands on no step
/// of it, or the ladder or a step's aim cannot be read.
[[nodiscard]] dsp::Result<Standing> decide_standing(const StandingInput& input,
                                                    const std::string& ladder);

}  // namespace strapline::cli
