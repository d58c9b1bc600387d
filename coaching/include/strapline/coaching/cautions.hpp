#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/coaching/change.hpp"
#include "strapline/coaching/client.hpp"
#include "strapline/coaching/comparison.hpp"
#include "strapline/dsp/set_analysis.hpp"

namespace strapline::coaching {

/// What is worth a pause whatever the aim. In the order in which cautions are given.
enum class CautionKind {
  pain_above_limit,         ///< logged pain above the agreed limit
  load_above_agreed,        ///< more than the greatest load agreed for the movement
  range_beyond_agreed,      ///< a rep clearly beyond an agreed range limit
  new_load_at_new_range,    ///< both at once outside what the client is accustomed to
  jump_in_load,             ///< more than one small step above what is accustomed at this range
  jump_in_range,            ///< more than one small step beyond what is accustomed
  knee_line_with_fatigue,   ///< inward and growing over the reps
  knee_line_with_load,      ///< inward and growing with the load over the sets
  sudden_loss_of_range,     ///< from one rep to the next
  sudden_loss_of_velocity,  ///< from one rep to the next
};

/// Tuning; the defaults are common practice unless a source is named.
struct CautionParameters {
  /// Share of the range of the reps before that one rep loses suddenly.
  double range_loss = 0.15;
  /// Same for the mean concentric velocity. 20 % is a usual limit of training by velocity loss,
  /// which tracks fatigue (Sánchez-Medina & González-Badillo 2011, doi
  /// 10.1249/MSS.0b013e318213f880).
  double velocity_loss = 0.20;
  int least_reps_before = 2;  ///< full reps that make "before"
  int least_reps = 5;         ///< for a trend over reps: fewer cannot reach 5 %
  int least_sets = 5;         ///< for a trend over loads
  int least_loads = 3;        ///< different ones among them
  double recent_days = 84.0;  ///< sets that are older do not count for the trend over loads
  ErrorParameters error;      ///< of a set's value
};

/// What the accustomed envelope says of the set, for whoever has one.
struct OutsideAccustomed {
  bool new_range = false;
  bool new_load = false;                     ///< more than was handled at this range
  std::optional<double> accustomed_load_kg;  ///< at this range or further; empty: none yet
  std::optional<double> accustomed_range;    ///< SI, furthest so far
};

struct CautionInput {
  /// Movement, variation, kit, date, load and pain of the set in question. Its measures are not
  /// looked at: `reps` has them all.
  ComparedSet set;
  std::vector<dsp::Rep> reps;        ///< in time order, part reps among them
  AgreedLimits limits;               ///< the strict ones where nothing was agreed
  std::vector<ComparedSet> history;  ///< the client's sets, this one among them or not
  std::optional<OutsideAccustomed> accustomed;
};

/// One caution with its evidence.
struct Caution {
  CautionKind kind = CautionKind::pain_above_limit;
  std::string measure;  ///< full name; "" where it is not about one
  dsp::Unit unit = dsp::Unit::one;
  std::optional<std::size_t> rep;  ///< index into the reps given: where it was seen
  /// From what to what, SI (kg for loads, 0–10 for pain): the limit and the value; the first and
  /// the last of a fitted trend; before and after a loss.
  double from = 0.0;
  double to = 0.0;
  /// What measuring alone could make of the difference, SI; 0 where that is not the question.
  double noise = 0.0;
  std::optional<double> from_kg, to_kg;  ///< loads of a trend over loads
  int sets = 0;                          ///< of a trend over loads
  std::optional<OutsideAccustomed> accustomed;
  std::string_view source;  ///< a publication, "common practice", or the agreement
};

/// The measures that find_cautions looks at in CautionInput::history; it needs no others there.
[[nodiscard]] std::vector<std::string> caution_history_measures();

/// Cautions that hold whatever the aim, by kind; empty where there are none. What is not logged or
/// not measured raises none.
[[nodiscard]] std::vector<Caution> find_cautions(const CautionInput& input,
                                                 const CautionParameters& parameters = {});

}  // namespace strapline::coaching
