#pragma once

#include <optional>
#include <string>
#include <vector>

#include "strapline/coaching/change.hpp"
#include "strapline/coaching/comparison.hpp"
#include "strapline/dsp/measure.hpp"

namespace strapline::coaching {

/// Thirds of fewer full reps are not compared: of six, two reps stand against two, and the interval
/// is already 4.3 standard errors wide. Common practice.
inline constexpr int kLeastRepsForThirds = 6;

/// Reps of one set against others of it. The straps sit the same for both, so re-strapping is no
/// part of the error.
struct WithinSetFinding {
  std::string measure;  ///< full name; of sides without the side: "knee_flexion_at_turn"
  dsp::Unit unit = dsp::Unit::one;
  double first = 0.0;   ///< SI: mean of the first third, or of the left side
  double second = 0.0;  ///< of the last third, or of the right side
  int first_reps = 0, second_reps = 0;
  double standard_error = 0.0;  ///< of the difference
  double degrees_of_freedom = 0.0;
  std::optional<double> smallest_that_matters;  ///< SI
  /// Thirds: last minus first. Sides: left minus right (measures.md). Never with further sets.
  Change change;
};

struct WithinSet {
  int full_reps = 0;
  std::vector<WithinSetFinding> thirds;  ///< empty below kLeastRepsForThirds
  std::vector<WithinSetFinding> sides;   ///< measures of both sides with two reps or more each
};

/// First third against last third of the full reps that measured it, by Student's t for two samples
/// with pooled variance (Student 1908, doi 10.1093/biomet/6.1.1): the alignment is the same for
/// both and cancels, the spread of the reps is the error. With reps beyond whole thirds the middle
/// is larger.
///
/// Left against right over the reps that measured both, by Student's t for pairs; where each rep
/// measures one side only, by Welch's for two samples (Welch 1947, doi 10.1093/biomet/34.1-2.28).
/// Each side's strap has its own alignment, so both sides' mean u² is added to the squared error
/// and has no degrees of freedom of its own.
/// @param full_reps of one set, in order.
[[nodiscard]] WithinSet compare_within_set(const std::vector<dsp::MeasureMap>& full_reps,
                                           const CompareOptions& options);

}  // namespace strapline::coaching
