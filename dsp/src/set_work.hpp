#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/error_budget.hpp"
#include "strapline/dsp/orientation_filter.hpp"
#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "excursions.hpp"
#include "measure_traces.hpp"
#include "segment_motion.hpp"
#include "working_leg.hpp"

namespace strapline::dsp {

/// The set on its way: filled step by step, in the order of analyse_set.
struct SetWork {
  const SetInput& input;
  OrientationParams orientation;
  SegmentationParams segmentation;
  ErrorBudget budget;
  Eigen::VectorXd t;
  std::vector<PreparedStrap> straps;
  ResolvedParts parts;
  std::string range_trace;
  Eigen::VectorXd range_angle;
  double start_level = 0.0;
  std::vector<SidedThigh> thighs;       ///< where one leg works at a time
  std::vector<Repetition> repetitions;  ///< of a movement that is known only by its repeating
  std::vector<Excursion> excursions;
  std::vector<std::string> notes;
  std::size_t repeating = 0;  ///< index of the strap that the repetitions are of
  bool rises = false;         ///< its height, not its turn, parts the reps
};

/// A set at the beginning of its way.
[[nodiscard]] inline SetWork work_on(const SetInput& input, Eigen::VectorXd t = {},
                                     std::vector<PreparedStrap> straps = {}) {
  return {input,
          {},
          {},
          budget_for(input.body),
          std::move(t),
          std::move(straps),
          {},
          {},
          {},
          0.0,
          {},
          {},
          {},
          {},
          0,
          false};
}

[[nodiscard]] inline bool of_the_arms(const SetWork& work) {
  return work.input.movement.range_angle == RangeAngle::elbow_flexion ||
         work.input.movement.range_angle == RangeAngle::elbow_extension;
}

/// What the traces are made from. `depth_share`: n, as TraceSource's.
[[nodiscard]] inline TraceSource trace_source(const SetWork& work, Eigen::VectorXd depth_share) {
  TraceSource source{work.straps, work.input.body, work.budget, std::move(depth_share),
                     work.parts.aligned_by_set};
  if (work.parts.still) {
    source.still_from = nearest_index(work.t, work.parts.still->from_s);
    source.still_to = nearest_index(work.t, work.parts.still->to_s);
  }
  return source;
}

/// Where the repetitions lie.
[[nodiscard]] inline std::vector<Interval> stretches_of(const std::vector<Repetition>& reps) {
  std::vector<Interval> stretches;
  for (const Repetition& rep : reps) stretches.push_back({rep.from_s, rep.to_s});
  return stretches;
}

/// s, how long a repetition takes; one of which a half was told borders on what it became, so by
/// the pace of that half.
[[nodiscard]] inline double paced_length(const Repetition& rep) {
  return rep.by_half_s > 0.0 ? rep.by_half_s : rep.to_s - rep.from_s;
}

/// The repetition that an excursion turns in; none for one that no repetition told of.
[[nodiscard]] inline const Repetition* repetition_at(const SetWork& work, const Excursion& e) {
  const double turn_s = work.t[e.turn_index];
  const auto found =
      std::find_if(work.repetitions.begin(), work.repetitions.end(),
                   [&](const auto& rep) { return rep.from_s <= turn_s && turn_s <= rep.to_s; });
  return found == work.repetitions.end() ? nullptr : &*found;
}

/// Where those lie that are surely reps: a hand that takes hold or lets go may look like one, but
/// turns about another axis. All of them where few are sure.
[[nodiscard]] inline std::vector<Interval> sure_stretches(std::vector<Repetition> reps) {
  constexpr double kSure = 0.85;  // 1, similarity
  const std::size_t all = reps.size();
  const std::vector<Interval> stretches = stretches_of(reps);
  std::erase_if(reps, [](const Repetition& rep) { return rep.similarity < kSure; });
  return 2 * reps.size() < all ? stretches : stretches_of(reps);
}

}  // namespace strapline::dsp
