#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/aim.hpp"
#include "strapline/dsp/measure.hpp"
#include "strapline/dsp/set_analysis.hpp"

namespace strapline::coaching {

/// Standard uncertainties to a two-sided 95 % (normal). A value nearer than this to an edge may lie
/// on either side of it.
inline constexpr double kEdgeCoverage = 1.959964;

/// Where one rep's value lies. Edges themselves are inside.
enum class RepVerdict {
  inside,
  outside,
  too_close,  ///< the edge lies inside the 95 % interval of the value
  not_measured,
  other_side  ///< the other leg or arm did this rep: nothing is asked of this side, or counted
};

enum class Edge { low, high };

/// One rep against one band.
struct RepFinding {
  std::size_t rep = 0;  ///< index into the reps given
  RepVerdict verdict = RepVerdict::not_measured;
  std::optional<dsp::MeasuredValue> measured;
  std::optional<Edge> edge;  ///< passed (outside), or nearest (too close)
  double beyond = 0.0;       ///< SI, of that edge: positive outside, negative inside
  std::string not_measured;  ///< why, as the analysis gave it; "" where the rep does not know it
};

/// Reps by verdict, those of the other side left out.
struct Tally {
  int inside = 0, outside = 0, too_close = 0, not_measured = 0;
  [[nodiscard]] int all() const { return inside + outside + too_close + not_measured; }
  [[nodiscard]] int measured() const { return all() - not_measured; }
};

/// A set against the share of reps that must be inside. What is too close to call or not measured
/// is taken for neither: where it would decide, nothing can be told.
enum class SetVerdict { met, not_met, cannot_tell, not_judged };

/// How many of `reps` must lie inside.
[[nodiscard]] int reps_needed(double strictness, int reps);

/// Met where enough reps are inside already; not met where they could not be even if all the
/// undecided ones were; not judged where nothing was measured.
[[nodiscard]] SetVerdict judge_tally(const Tally& tally, double strictness);

/// One value against a band's edges at 95 %.
[[nodiscard]] RepFinding judge_value(const dsp::MeasuredValue& measured, const Band& edges);

/// A measure that the aim has a band for.
struct MeasureJudgement {
  std::string measure;  ///< full name; the band's own where no rep knows it
  AimBand band;
  std::optional<Band> edges;       ///< at the set's load, SI
  std::optional<Unknown> unknown;  ///< without edges: what would have to be known
  std::vector<RepFinding> reps;    ///< one per full rep, in time order; empty without edges
  Tally tally;
  SetVerdict verdict = SetVerdict::not_judged;
  /// How much it matters to the aim: the share of measured reps that are outside, times how far
  /// those are beyond the edge on average, in units of the smallest difference that matters (the
  /// client's, else default_difference), or of the value's own uncertainty where that is larger.
  double weight = 0.0;
};

/// All judged measures of one rep together.
struct RepJudgement {
  std::size_t rep = 0;  ///< index into the reps given
  /// Outside where any measure is; else too close, not measured, inside, in this order.
  RepVerdict verdict = RepVerdict::not_measured;
};

/// Whether an aim says anything about a set.
enum class Holding {
  holds,
  load_unknown,       ///< it may hold: the load was not logged; judged all the same
  body_mass_unknown,  ///< it may hold: its loads are multiples of body mass; judged all the same
  load_too_low,       ///< outside the loads that it holds for: nothing is judged
  load_too_high,
  other_movement
};

struct JudgedSet {
  std::string movement;
  std::string variation;
  LoadedWith with;
  std::vector<dsp::Rep> reps;  ///< in time order; part reps are not judged
  /// SI, by base or full name (Client::smallest_that_matters).
  std::map<std::string, double> smallest_that_matters;
};

struct AimJudgement {
  Aim aim;
  Holding holding = Holding::holds;
  LoadedWith with;
  std::optional<std::string> other_variation;   ///< the set's, where the aim is for another
  std::vector<MeasureJudgement> measures;       ///< in the order shown
  std::vector<RepJudgement> reps;               ///< full reps
  Tally tally;                                  ///< of `reps`
  SetVerdict verdict = SetVerdict::not_judged;  ///< of `reps`, by what was measured at all
  /// The one or two measures of most weight, as indices into `measures`; sides of one measure
  /// count as one thing. Empty where no rep is outside.
  std::vector<std::size_t> matters_most;
};

/// The smallest difference that matters where the client's file names none: 5°, 2 cm, 0.5 s,
/// 0.1 m/s. Common practice; it only ranks findings.
[[nodiscard]] double default_difference(dsp::Unit unit);

/// The set's verdict for whoever needs the whole aim: met only where every band was measured in
/// some rep; else what was not measured leaves it not judged.
[[nodiscard]] SetVerdict whole_verdict(const AimJudgement& judgement);

/// Judges the full reps of a set against an aim. No score, and no ideal but this aim's.
[[nodiscard]] AimJudgement judge_set(const Aim& aim, const JudgedSet& set);

}  // namespace strapline::coaching
