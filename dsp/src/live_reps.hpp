#pragma once

#include <cstddef>
#include <vector>

#include "strapline/dsp/live_event.hpp"
#include "strapline/dsp/movement_spec.hpp"
#include "strapline/dsp/rep_gate.hpp"
#include "strapline/dsp/segmentation.hpp"

#include "live_motion.hpp"
#include "live_range.hpp"
#include "told_reps.hpp"

namespace strapline::dsp {

/// The reps of a set while it happens: what the analysis after the set does with the whole range
/// angle (excursions, gate, part reps), done with what is known so far. An excursion is told once
/// it is over and passes; what later evidence says otherwise of it is told as a correction.
class LiveReps {
 public:
  explicit LiveReps(const MovementSpec& movement);

  /// The set begins at `from_s`; what was told before is forgotten.
  void begin(double from_s);
  /// Looks again, with the grid known up to index `end` and the set not after `set_to_s`.
  /// `standing`: the still part, null where there is none.
  void look(const LiveGrid& grid, const std::vector<LiveMotion>& motions,
            const std::vector<Placement>& placements, const LiveRange& range, Eigen::Index end,
            const Interval& standing);

  [[nodiscard]] std::vector<LiveEvent> take_events() { return told_.take_events(); }
  [[nodiscard]] int full_reps() const { return told_.full_reps(); }
  [[nodiscard]] int part_reps() const { return told_.part_reps(); }

 private:
  struct Seen {
    Excursion excursion;  ///< turn_index on the whole grid
    RepPath path;
    bool elsewhere = false;  ///< begins otherwise than the movement does, or ends so
  };

  [[nodiscard]] std::vector<Excursion> excursions_so_far(const LiveGrid& grid,
                                                         const LiveRange& range,
                                                         Eigen::Index end) const;
  bool take_in(const std::vector<Excursion>& found, const LiveGrid& grid,
               const std::vector<LiveMotion>& motions, const std::vector<Placement>& placements,
               const LiveRange& range, const Interval& standing);
  [[nodiscard]] bool begins_elsewhere(const Excursion& e, const LiveGrid& grid,
                                      const std::vector<LiveMotion>& motions,
                                      const std::vector<Placement>& placements,
                                      const LiveRange::Angle& angle,
                                      const Interval& standing) const;
  void move_window(double now_s);
  [[nodiscard]] std::vector<Excursion> reps_so_far() const;

  MovementSpec movement_;
  SegmentationParams segmentation_;
  double window_from_s_ = 0.0;  ///< what is over by then is not looked at again
  Eigen::VectorXd start_;       ///< RepPath::start of every rep, where it is known; else empty
  std::vector<Seen> seen_;      ///< excursions that are over, in time order
  ToldReps told_;
};

}  // namespace strapline::dsp
