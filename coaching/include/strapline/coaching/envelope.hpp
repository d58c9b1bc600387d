#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/client.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// Tuning of what counts as accustomed. Common practice where no source is named.
struct EnvelopeParameters {
  double range_bin = 0.1745;    ///< rad (10°), width of a range bin, and the largest range step
  double range_slack = 0.0873;  ///< rad (5°, half a bin), about what measuring again can differ by
  int least_reps = 2;           ///< full reps of a set that counts: one may be luck
  int least_days = 2;           ///< different days: what was done once is not yet accustomed
  double keep_days = 28.0;      ///< so long a load counts in full after it was last handled…
  double fade_per_week = 0.05;  ///< …then this share of it less with every week…
  double window_days = 84.0;    ///< …and after so long it does not count at all
  double pain_limit = kStrictPainLimit;  ///< 0–10; sets with more pain are no evidence
  /// One step of load: +2–10 % (ACSM 2009 position stand).
  double most_load_step = 0.10;
  double plate_kg = 2.5;     ///< the smallest step of the equipment
  double light_share = 0.7;  ///< of the accustomed load, where a range step leads further
  int most_steps = 40;       ///< of a way that is laid out
};

/// One set as the envelope sees it.
struct HandledSet {
  std::string name;               ///< what the reader knows it by: a file name
  double day = 0.0;               ///< days since 1970-01-01, UTC
  std::optional<double> load_kg;  ///< empty: not logged
  std::optional<double> pain;     ///< 0–10; empty: not logged
  std::optional<double> range;    ///< median of the full reps, SI (rad): half of them went so far
  int reps = 0;                   ///< full reps that measured it
};

/// A load handled to a range or further.
struct Handled {
  double load_kg = 0.0;       ///< as it was
  double counts_as_kg = 0.0;  ///< faded by the days since
  double day = 0.0;           ///< when
  std::string set;            ///< evidence
};

/// What is known of one range and everything beyond it.
struct EnvelopeBin {
  double from = 0.0;  ///< SI
  double to = 0.0;
  std::optional<Handled> heaviest;    ///< counts most now
  std::optional<Handled> accustomed;  ///< counts most of what was handled on least_days days
  int days = 0;                       ///< different days, in the window, at any load
  int sets = 0;
  int reps = 0;
};

/// What would have made more evidence. Counts of sets within the window.
struct EnvelopeGaps {
  int load_not_logged = 0;     ///< left out
  int pain_not_logged = 0;     ///< counted, though nobody knows
  int range_not_measured = 0;  ///< left out
  int with_pain = 0;           ///< left out: above the limit
  int too_old = 0;             ///< left out: before the window
};

/// Load by range, as one client handled it in one movement.
struct Envelope {
  double today = 0.0;  ///< days since 1970-01-01
  EnvelopeParameters parameters;
  std::vector<HandledSet> evidence;  ///< the sets that count
  std::vector<EnvelopeBin> bins;     ///< by range, from the lowest to the furthest handled
  EnvelopeGaps gaps;
};

/// Sets after `today` are passed over.
[[nodiscard]] Envelope make_envelope(const std::vector<HandledSet>& sets, double today,
                                     const EnvelopeParameters& parameters = {});

/// The bin of any range, made for it: `from` is the range itself.
[[nodiscard]] EnvelopeBin handled_at(const Envelope& envelope, double range);

/// The furthest range that was reached on so many different days, whatever the load; empty where
/// there is none. With least_days: the furthest that the client is accustomed to.
[[nodiscard]] std::optional<double> furthest_on_days(const Envelope& envelope, int days);

}  // namespace strapline::coaching
