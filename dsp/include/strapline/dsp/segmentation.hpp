#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

struct SegmentationParams {
  double smoothing_hz = 6.0;     ///< Hz, zero-lag low-pass of the range angle
  double least_range = 0.26;     ///< rad, a smaller excursion is no rep
  double onset_share = 0.05;     ///< 1, of a phase's peak rate: where it begins and ends
  double away_share = 0.25;      ///< 1, of the set's range: further from the start posture is away
  double split_share = 0.5;      ///< 1, of the set's range: a dip this deep parts two excursions
  double least_share = 0.2;      ///< 1, of the set's range: a smaller excursion is fidgeting
  double part_share = 0.5;       ///< 1, of the set's median range: a smaller one is a part rep
  double end_zone_share = 0.2;   ///< 1, of the rep's range: a stall outside it does not end a phase
  double shortest_rep_s = 0.85;  ///< s, from start to end: a swing of the gait takes less (0.7 s)
  double longest_phase_s = 15.0;  ///< s, a longer way there or back is no phase of a rep
  double longest_hold_s = 30.0;   ///< s, a longer hold at the turn is a posture
  double rate_noise = 5e-4;       ///< rad/s, of the range angle's rate: the gyroscopes' own
  /// 1, of a phase's peak rate: how fast a strap still swings at the borders that follow a stop.
  /// 0.3° at 5 Hz after a phase of 90° in a second are 6 % of its peak rate; a tenth of that is
  /// about the range angle's axis, of both sides' mean, past the smoothing and not died away.
  double ringing = 0.005;
};

/// A border's time and its standard uncertainty, s.
struct Border {
  double time_s = 0.0;
  double u_s = 0.0;
};

/// One excursion of the range angle (measures.md "Rep").
struct Excursion {
  Border start, turn_in, turn_out, end;
  Eigen::Index turn_index = 0;  ///< the furthest point, index of t
  double range = 0.0;           ///< rad, furthest minus least within the rep
  bool part = false;
  Side side = Side::middle;  ///< of the leg or arm that did it, where one does at a time
};

/// Reps of a range angle that grows away from the start posture.
/// `t` uniform, s; `angle` n, rad, NaN where unknown; only excursions inside `within` are returned.
/// `start_level`: the angle of the start posture, rad.
[[nodiscard]] std::vector<Excursion> find_excursions(const Eigen::VectorXd& t,
                                                     const Eigen::VectorXd& angle,
                                                     double start_level, const Interval& within,
                                                     const SegmentationParams& params);

/// The same where it is known that each of `stretches` (in time order) holds one rep: the furthest
/// point of each, and its borders in and shortly around it. Stretches of a few samples are left
/// out.
[[nodiscard]] std::vector<Excursion> excursions_in(const Eigen::VectorXd& t,
                                                   const Eigen::VectorXd& angle, double start_level,
                                                   const std::vector<Interval>& stretches,
                                                   const SegmentationParams& params);

/// Where one excursion is sought: its furthest point in `turn`, its borders in `reach`, which holds
/// `turn` and may hold other motion beyond the rep.
struct ExcursionPlace {
  Interval turn, reach;
};

/// One excursion for each of `places`, in their order; one of no range where the angle only rises
/// or falls there.
[[nodiscard]] std::vector<Excursion> excursions_at(const Eigen::VectorXd& t,
                                                   const Eigen::VectorXd& angle, double start_level,
                                                   const std::vector<ExcursionPlace>& places,
                                                   const SegmentationParams& params);

/// rad, upper quartile of the ranges: what is usual of the reps, whatever small ones are among
/// them; 0 of none.
[[nodiscard]] double wide_range(const std::vector<Excursion>& reps);

/// Leaves out again what is too small beside the others.
void leave_out_fidgeting(std::vector<Excursion>& reps, const SegmentationParams& params);

/// Judges again which of `reps` are part reps, by their own ranges.
void mark_part_reps(std::vector<Excursion>& reps, const SegmentationParams& params);

/// The start posture's angle where no still part tells it: the lower decile of the angle.
[[nodiscard]] double guess_start_level(const Eigen::VectorXd& t, const Eigen::VectorXd& angle,
                                       const Interval& within);

}  // namespace strapline::dsp
