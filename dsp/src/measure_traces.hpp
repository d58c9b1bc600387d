#pragma once

#include <functional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/measure.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// A measure over the whole recording with its uncertainty, or why there is none.
struct MeasureTrace {
  std::string base;  ///< unsided name of measures.md
  Side side = Side::middle;
  Unit unit = Unit::radian;
  Eigen::VectorXd value;  ///< n, NaN where not known; empty: not measured
  Eigen::VectorXd u;      ///< n
  std::string missing;    ///< reason, where value is empty

  [[nodiscard]] std::string name() const { return base + side_suffix(side); }
};

/// What every trace is made from.
struct TraceSource {
  const std::vector<PreparedStrap>& straps;
  const BodyDimensions& body;
  const ErrorBudget& budget;
  Eigen::VectorXd depth_share;  ///< n, 1: soft tissue turns as far as stated (depth_share.hpp)
  bool aligned_by_set = false;
  Eigen::Index still_from = 0, still_to = -1;  ///< grid samples of the still part; none: −1
};

/// All traces of the measure `base` (both sides of a sided one); empty for a name it doesn't know.
[[nodiscard]] std::vector<MeasureTrace> traces_of(const std::string& base,
                                                  const TraceSource& source);

/// The strap at a placement, aligned or not; null where there is none.
[[nodiscard]] const PreparedStrap* strap_at(const std::vector<PreparedStrap>& straps,
                                            Placement placement);

/// Why a strap cannot be measured with: not worn, or not aligned; empty where it can.
[[nodiscard]] std::string missing_reason(const std::vector<PreparedStrap>& straps,
                                         Placement placement);

/// The trunk as the chest strap shows it, or the upper back's where there is none on the chest.
[[nodiscard]] Placement trunk_placement(const TraceSource& source);

/// A value with its standard uncertainty, both in the trace's unit.
struct Sample {
  double value, u;
};

/// Runs `sample` over the grid wherever every needed strap is known; not measured, with the reason,
/// where one of them is not worn or not aligned.
[[nodiscard]] MeasureTrace sampled_trace(std::string base, Side side, Unit unit,
                                         const TraceSource& source,
                                         const std::vector<Placement>& needs,
                                         const std::function<Sample(Eigen::Index)>& sample);

}  // namespace strapline::dsp
