#pragma once

#include <cstddef>
#include <vector>

#include "strapline/dsp/live_counter.hpp"
#include "strapline/dsp/movement_spec.hpp"

namespace strapline::dsp {

/// Counts a set live on all straps and shows one of them: the strap that moves most among those on
/// the segment of the movement's range angle (a thigh for a squat), or among all where none is worn
/// there. It keeps to that strap until another has clearly moved more, say because a battery died.
class LiveSetCounter {
 public:
  LiveSetCounter(const std::vector<Placement>& straps, const MovementSpec& movement);

  /// As LiveCounter::update, for one strap by its index.
  void update(std::size_t strap, double t_s, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
              bool trusted = true);
  void begin_set();

  /// What the strap that counts has told since the last call. Where the count has moved to another
  /// strap, `moved` becomes true: the count is that strap's from then on.
  struct Told {
    std::vector<LiveEvent> events;
    bool moved = false;
  };
  [[nodiscard]] Told take_events();

  /// Index of the strap that counts.
  [[nodiscard]] std::size_t chosen() const { return chosen_; }
  [[nodiscard]] int full_reps() const { return counters_.at(chosen_).full_reps(); }
  [[nodiscard]] int part_reps() const { return counters_.at(chosen_).part_reps(); }

 private:
  std::vector<LiveCounter> counters_;
  std::vector<std::size_t> candidates_;  ///< straps that may count; never empty if there is one
  std::size_t chosen_ = 0;
  std::size_t told_by_ = 0;
};

}  // namespace strapline::dsp
