#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// Tuning of the error of a set's value. The defaults are starting points, not findings.
struct ErrorParameters {
  /// From how many degrees of freedom on the client's own repeated sets are trusted alone.
  /// Common practice: fewer give a spread that is itself off by a third and more.
  int least_degrees_of_freedom = 5;
  /// Sets within this many days count as repeats of one condition. Common practice in test–retest.
  double repeat_window_days = 7.0;
  /// Loads count as the same within this fraction. Common practice: a pair of the smallest plates.
  double load_tolerance = 0.025;

  /// What wearing the straps anew adds, one sigma, until own repeats tell. Angles: soft tissue
  /// adds 2–3° at best (Teufl 2019, doi 10.1371/journal.pone.0213064). Distances: between the
  /// 7 and 17 mm of soft tissue at the shank (Leardini 2005). Durations and velocities barely
  /// depend on where the strap sits: common practice.
  double restrapping_rad = 0.0436;    ///< rad (2.5°)
  double restrapping_m = 0.010;       ///< m
  double restrapping_s = 0.05;        ///< s
  double restrapping_m_per_s = 0.03;  ///< m/s
  /// How much clients differ in it: one sigma, as a fraction of the default. Common practice: a
  /// quarter, that is, most of them between half of it and one and a half.
  double restrapping_differs_by = 0.25;

  [[nodiscard]] double restrapping(dsp::Unit unit) const;
};

enum class ErrorSource {
  own_repeats,         ///< the client's repeated sets under the same conditions
  stated_uncertainty,  ///< the reps' u, the spread of the reps, and the default for re-strapping
};

/// A measure over the full reps of one set that have it, SI.
struct RepSummary {
  int reps = 0;  ///< at least one
  double mean = 0.0;
  double sd = 0.0;  ///< between the reps (n − 1); 0 for a single rep
  double u = 0.0;   ///< root mean square of the reps' standard uncertainties
  dsp::Unit unit = dsp::Unit::one;
};

/// @param reps at least one, all of one unit.
[[nodiscard]] RepSummary summarise_reps(const std::vector<dsp::MeasuredValue>& reps);

/// Mean of a set's measured reps, and its standard error with everything that a set worn anew
/// would change: √(mean u² + s²/n + restrapping²). The u of the reps of one set share their
/// alignment, so they do not average out.
struct SetMean {
  double value = 0.0;
  double stated_error = 0.0;  ///< one sigma, same unit
  double within_sd = 0.0;     ///< between the reps, 0 for a single rep
  int reps = 0;
};

[[nodiscard]] SetMean set_mean(const RepSummary& reps, const ErrorParameters& parameters);

/// What two values are compared with.
struct ErrorBasis {
  ErrorSource source = ErrorSource::stated_uncertainty;
  double sem = 0.0;  ///< standard error of measurement of one set worn anew
  /// Of own repeats; for stated uncertainties those that the default for re-strapping leaves, being
  /// uncertain itself; infinite where nothing of the SEM is a default.
  double degrees_of_freedom = std::numeric_limits<double>::infinity();
  int repeat_groups = 0;  ///< how many conditions were repeated
  /// Standard errors to a two-sided 95 %: Student's t at the degrees of freedom (1.96 for many).
  [[nodiscard]] double coverage() const;
};

/// Own repeats where `repeats` (groups of values of sets worn anew under the same conditions) have
/// the least degrees of freedom; else the root mean square of the sets' stated errors. Of those the
/// part `restrapping` is a default that is itself known to restrapping_differs_by only: it has
/// ½·(Δu/u)⁻² degrees of freedom, and by Welch–Satterthwaite the SEM has (SEM/restrapping)⁴ times
/// as many (JCGM 100:2008, G.4.1–2). Taken for known, it would call no change at all changed in
/// more than 5 % of the cases, because the clients who exceed it add more than the others take
/// away.
/// @param stated_errors at least one.
/// @param restrapping in their unit.
[[nodiscard]] ErrorBasis error_basis(const std::vector<std::vector<double>>& repeats,
                                     const std::vector<double>& stated_errors, double restrapping,
                                     const ErrorParameters& parameters);

enum class Verdict { changed, unchanged, cannot_tell };

/// A mean over sets worn anew each time.
struct ComparedMean {
  double value = 0.0;
  int wearings = 1;
};

/// A difference, judged (measures.md "Comparing").
struct Change {
  double difference = 0.0;  ///< latest minus baseline
  /// coverage·SEM·√(1/n₁ + 1/n₂); for one set each and many degrees of freedom Weir's 1.96·√2·SEM.
  double mdc95 = 0.0;
  double low = 0.0;  ///< 95 % interval of the difference
  double high = 0.0;
  Verdict verdict = Verdict::cannot_tell;
  bool smaller_than_matters = false;  ///< changed, yet the whole interval matters too little
  /// Cannot tell yet: how many further sets, each worn anew, would settle it if the difference
  /// stays as it is; empty where no number up to kMostFurtherSets would.
  std::optional<int> further_sets;
};

inline constexpr int kMostFurtherSets = 20;

/// Changed when |difference| exceeds MDC95; unchanged when the whole 95 % interval lies inside
/// ±`smallest_that_matters`; else cannot tell.
/// @param smallest_that_matters > 0, the coach's; empty: nothing is ever called unchanged.
[[nodiscard]] Change judge_change(const ComparedMean& baseline, const ComparedMean& latest,
                                  const ErrorBasis& error,
                                  std::optional<double> smallest_that_matters);

}  // namespace strapline::coaching
