#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/next_step.hpp"

#include "standing.hpp"

namespace strapline::cli {

/// One ladder of a client, as the roster shows it.
struct RosterStep {
  std::string ladder, step;
  coaching::NextStep next;
  std::string says;  ///< the proposal in words
};

/// One client at a glance.
struct RosterRow {
  std::string client;
  std::optional<double> day;  ///< of the latest set, days since 1970-01-01
  std::string movement;       ///< of the latest set, with its variation
  std::optional<double> load_kg;
  int recent_sets = 0;            ///< in the last four weeks
  std::vector<RosterStep> steps;  ///< by ladder
  std::vector<coaching::CautionKind>
      cautions;  ///< of the latest day, of each ladder's last session, and recent pain
  std::vector<dsp::Failure> faults;  ///< what could not be read
};

/// What the coach should look at first: stop, a caution, a step that is due, the others.
enum class Attention { stop, caution, due, none };
[[nodiscard]] Attention attention_of(const RosterRow& row);

/// The row of one client; what cannot be read is a fault in it.
[[nodiscard]] RosterRow roster_row(const coaching::Client& client, const ClientFiles& files,
                                   double today);

}  // namespace strapline::cli
