#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/movement_spec.hpp"
#include "strapline/dsp/set_analysis.hpp"

#include "live_motion.hpp"
#include "segment_motion.hpp"

namespace strapline::dsp {

/// Whether a strap on the segment has a part in the range angle.
[[nodiscard]] bool carries_range(Segment segment, RangeAngle angle);

/// The movement's own range angle while it happens: the straps are aligned by standing and the
/// alignment movement before the set, as the analysis does it; then each new stretch of the grid is
/// turned into the angle.
class LiveRange {
 public:
  /// One angle over the grid; where one leg works at a time, one of each side worn.
  struct Angle {
    Side side = Side::middle;
    std::vector<double> value;    ///< rad, from the grid's begin; NaN where not known
    double start_level = 0.0;     ///< rad, in the start posture
    double standing_level = 0.0;  ///< rad, while standing
  };

  LiveRange(const std::vector<Placement>& straps, const MovementSpec& movement);

  /// Aligns by `parts` (still and align are needed) on what is known up to grid index `end`. False
  /// where the straps do not show the movement's own angle.
  bool align(const std::vector<LiveMotion>& motions, const LiveGrid& grid, Eigen::Index end,
             const RecordingParts& parts);
  /// Carries the angles on to grid index `end`.
  void extend(const std::vector<LiveMotion>& motions, const LiveGrid& grid, Eigen::Index end);
  /// Finds the start posture's angle again, from the set so far.
  void settle_start(const LiveGrid& grid, const Interval& set);

  [[nodiscard]] const std::vector<Angle>& angles() const { return angles_; }
  /// Whether strap `k` has a part in the angle.
  [[nodiscard]] bool shows_angle(std::size_t k) const;

 private:
  SetInput input_;  ///< movement and placements only
  std::vector<PreparedStrap> straps_;
  std::vector<Angle> angles_;
};

}  // namespace strapline::dsp
