#pragma once

#include <vector>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/segmentation.hpp"

namespace strapline::dsp {

/// The excursion as it is told.
[[nodiscard]] LiveRep live_rep(const Excursion& e);

/// What was told of a set so far. Each rep is told once; what is known better later is told as a
/// correction of it.
class ToldReps {
 public:
  void clear();
  /// A rep that is just over: told, unless the same movement has been.
  void add(const LiveRep& rep);
  /// The reps as they are known now, in time order: new ones are told, others corrected where a
  /// coach would see the difference. What was told and is not among them any more is taken back,
  /// if it ended within `looked_at`.
  void replace(const std::vector<LiveRep>& reps, const Interval& looked_at);

  /// The reps and corrections since the last call, in the order in which they were known.
  [[nodiscard]] std::vector<LiveEvent> take_events();
  [[nodiscard]] int full_reps() const;
  [[nodiscard]] int part_reps() const;

 private:
  void correct(std::size_t number, const LiveRep& now);

  std::vector<LiveRep> told_;
  std::vector<LiveEvent> events_;
};

}  // namespace strapline::dsp
