#pragma once

#include <vector>

#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/set_analysis.hpp"

namespace strapline::cli {

/// What the live count told, and when (common time, s, of the newest reading by then).
struct ToldEvent {
  dsp::LiveEvent event;
  double told_s = 0.0;
};

/// A recording played through the live count.
struct LivePlay {
  std::vector<ToldEvent> events;
  std::vector<dsp::LiveRep> reps;  ///< told, as they stand at the end; withdrawn ones among them
};

/// Plays all straps as their readings came in, in batches of 10 ms, with the parts begun and ended
/// where the recording says.
[[nodiscard]] LivePlay play_live(const dsp::SetInput& input);

/// The live count beside the analysis after the set, over any number of sets.
struct LiveAgreement {
  int sets = 0;
  int same_count = 0;  ///< sets with as many full reps
  int reps = 0;        ///< that the analysis found, full and part
  int agreed = 0;      ///< of them, told live and standing at the end as the same kind
  int missed = 0;      ///< not told, or taken back
  int other_kind = 0;  ///< full against part
  int extra = 0;       ///< standing at the end, and not found afterwards
  int twice = 0;       ///< told again while the first telling stood
  int corrections = 0;
  int taken_back = 0;             ///< told, and no rep in the end
  std::vector<double> latency_s;  ///< of first tellings, after the end that the analysis found

  /// Share of the reps of either that both have as the same kind; 1 where there are none.
  [[nodiscard]] double share() const;
  /// Seconds below which `part` (0…1) of the tellings stay; 0 without any.
  [[nodiscard]] double latency(double part) const;
  void add(const LiveAgreement& other);
};

[[nodiscard]] LiveAgreement compare_live(const LivePlay& live, const std::vector<dsp::Rep>& after);

}  // namespace strapline::cli
