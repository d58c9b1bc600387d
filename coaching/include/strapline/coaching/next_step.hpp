#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/change.hpp"
#include "strapline/coaching/envelope.hpp"
#include "strapline/coaching/judgement.hpp"
#include "strapline/coaching/ladder.hpp"

namespace strapline::coaching {

/// Tuning of what is proposed. Common practice where no source is named.
struct NextParameters {
  double pain_days = 7.0;    ///< pain logged so recently, in any movement, stops
  double break_days = 28.0;  ///< a pause longer than this sends back; as long as loads keep
  double back_share = 0.9;   ///< of the load, when stepping back on a loaded step
};

/// One set that was done on the step.
struct StepSet {
  std::string name;  ///< what the reader knows it by: a file name
  double day = 0.0;  ///< days since 1970-01-01, UTC
  std::optional<double> load_kg, effort_rpe, reps_in_reserve, pain;
  int full_reps = 0;
  SetVerdict verdict = SetVerdict::not_judged;  ///< against the step's aim
  std::string pain_place;
};

/// Pain that was logged with a set of any movement.
struct LoggedPain {
  std::string set, movement;
  double day = 0.0;
  double pain = 0.0;  ///< 0–10
  std::string place;
};

/// What the next step is decided from.
struct NextInput {
  Ladder ladder;
  std::size_t step = 0;       ///< the client stands on it
  std::vector<StepSet> sets;  ///< done on it, in time order
  double today = 0.0;         ///< days since 1970-01-01
  double pain_limit = kStrictPainLimit;
  std::vector<LoggedPain> pain;  ///< of any movement, in any order
  std::optional<double> body_mass_kg;
  std::optional<double> load_limit_kg;  ///< agreed for the step's movement
  /// The range on this step, first week to last, as compare_sets judged it (SI); empty where fewer
  /// than two sets measured it.
  std::optional<Change> range_change;
  std::vector<CautionKind> cautions;  ///< open ones of the latest session
  /// What the client is accustomed to in the movement of the step after this one.
  std::optional<Envelope> envelope;
  EnvelopeParameters loads;  ///< plates and load steps
  NextParameters parameters;
};

/// The rules, in the order in which they are shown.
enum class NextRule {
  pain,         ///< none above the limit
  recent,       ///< trained within break_days
  sessions,     ///< enough of them on this step, running, at the latest load
  within_aim,   ///< the sets of the last sessions meet the step's aim
  repetitions,  ///< two-for-two
  reserve,      ///< reps in reserve in the last set
  range_kept,   ///< the range has not fallen while on this step
  cautions,     ///< none open
  load_goal,    ///< where the step ends at a load: that load is known
  load_agreed,  ///< not above the greatest load agreed, now and next
  entry_range,  ///< accustomed to the range that the step after this one needs
  entry_load    ///< and to the load
};

enum class RuleState {
  met,
  not_met,
  cannot_tell,  ///< measured, but the difference or the verdict is within the noise
  missing       ///< not logged, not measured, or not done yet
};

/// One rule with its evidence.
struct RuleFinding {
  NextRule rule = NextRule::pain;
  RuleState state = RuleState::missing;
  std::optional<double> found;   ///< SI; 0–10 for pain; days, sessions, sets, reps, kg
  std::optional<double> wanted;  ///< same unit
  std::optional<Change> change;  ///< of range_kept
  std::string place;             ///< of pain, or its movement
  std::vector<CautionKind> cautions;
  std::vector<std::string> sets;  ///< evidence
  std::string_view source;        ///< a publication, "common practice", or the agreement
};

enum class Proposal { go_on, hold, step_back, stop };

/// What the proposal changes. One thing at a time.
enum class Proposed {
  nothing,
  step,  ///< stand on `to_step`
  load,  ///< `to_load_kg` on this step
  reps   ///< `to_reps` at this load, because one plate more would be too great a step
};

struct NextStep {
  Proposal proposal = Proposal::hold;
  std::size_t step = 0;  ///< stood on
  Proposed what = Proposed::nothing;
  std::size_t to_step = 0;
  std::optional<double> load_kg;     ///< of the last session's heaviest set
  std::optional<double> to_load_kg;  ///< also of a step to begin with, where its sets are loaded
  std::optional<int> to_reps;
  bool top = false;  ///< everything is earned, and there is no step above
  std::vector<RuleFinding> findings;
};

/// Pain above the limit that still counts: of the last pain_days in any movement, and of the last
/// session of each movement however long ago. `history`: every set with its day, movement and pain
/// (0 where there was none or nobody logged it), in time order.
[[nodiscard]] std::vector<LoggedPain> standing_pain(const std::vector<LoggedPain>& history,
                                                    double today, double limit,
                                                    double pain_days = NextParameters{}.pain_days);

/// Stop on pain; step back after a long break, or where the aim or the reps were clearly missed in
/// every set of the sessions that count; go on where every rule is met; hold otherwise, and the
/// findings say what is not met, not told apart from noise, or not logged.
[[nodiscard]] NextStep decide_next(const NextInput& input);

/// Reps in reserve as logged, else 10 − RPE (Zourdos 2016, doi 10.1519/JSC.0000000000001049: RPE 10
/// is no rep in reserve, 9 is one, …).
[[nodiscard]] std::optional<double> reserve_of(const StepSet& set);

}  // namespace strapline::coaching
