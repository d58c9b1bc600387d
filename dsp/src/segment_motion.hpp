#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/alignment.hpp"
#include "strapline/dsp/set_analysis.hpp"
#include "strapline/dsp/time_grid.hpp"

#include "leg_hinge.hpp"

namespace strapline::dsp {

/// One strap on its way through the analysis.
struct PreparedStrap {
  Placement placement;
  GridMotion motion;                                            ///< sensor on the grid, own heading
  Eigen::Vector3d gyr_bias = Eigen::Vector3d::Zero();           ///< rad/s
  double gyr_gain_sd = SensorErrors{}.gyr_gain_sd;              ///< 1, see there
  double acc_cross_axis_sd = SensorErrors{}.acc_cross_axis_sd;  ///< 1, same
  std::optional<SegmentAlignment> alignment;                    ///< empty: `trouble` says why
  std::string trouble;
  std::vector<Eigen::Quaterniond> q_world_from_segment;  ///< n, X along its start heading
  std::optional<StrapShift> shift;  ///< between the still parts before and after the set
  Eigen::Matrix3d acc_bias_covariance = Eigen::Matrix3d::Zero();  ///< (m/s²)², sensor
  /// rad², of the tilt in the still part, which zero is of; as GridMotion's covariance.
  Eigen::Vector3d still_tilt = Eigen::Vector3d::Zero();
  double shift_u = 0.0;  ///< rad, where the strap has moved: how far off it may sit in between
  double twist_u = 0.0;  ///< rad, where it has slipped: how far off it may be turned about the limb
  Eigen::VectorXd heading_u;  ///< n, rad, of the heading after the drift is taken out
  Eigen::VectorXd held_over;  ///< n, 1, see held_over() in tilt_change.hpp; empty: as while still
  /// Of a leg whose knee was fitted, thigh and shank alike: see LegHinge.
  HingeCovariance hinge_covariance = HingeCovariance::Zero();
  Eigen::Matrix<double, 6, 1> hinge_turns = Eigen::Matrix<double, 6, 1>::Zero();
  /// 1, of a leg whose toe line the bends showed: what the toe line's heading takes from the
  /// shank's hinge where that points too high. The knee's path shows both at once.
  double toe_line_per_across = 0.0;
  /// 1, same, from a turn of the shank's strap across the leg, by soft tissue at full flexion,
  /// which in the bends came in proportion.
  double toe_line_per_tissue = 0.0;
  /// n, rad: how far the leg's toe line has turned with its foot since it was found (stance.hpp),
  /// and its uncertainty; empty without a strap on that foot.
  Eigen::VectorXd stance, stance_u;
};

/// The parts of the recording as the analysis uses them, and what had to be assumed.
struct ResolvedParts {
  std::optional<Interval> still;
  std::optional<Interval> align;
  std::optional<Interval> still_after;
  Interval set;
  bool aligned_by_set = false;  ///< no align part: the set's own movement shows the axes
  std::vector<std::string> notes;
};

/// Given parts where there are any, else rest found in the data.
[[nodiscard]] ResolvedParts resolve_parts(const RecordingParts& given, const Eigen::VectorXd& t,
                                          const std::vector<std::vector<char>>& at_rest);

/// Fills `alignment` (or `trouble`) and `q_world_from_segment`.
void align_strap(PreparedStrap& strap, const Eigen::VectorXd& t, const ResolvedParts& parts);

/// Orientation of the segment in the world whose X is the start heading, turned on with `stance`,
/// from `alignment`.
void follow_segment(PreparedStrap& strap);

/// Variance, rad², of the strap's heading at a sample since the still part: what is left of its
/// drift (zero where no standing shows one), and the gyroscope's gain, whose axes are skew as much
/// as they are too long, in all that was turned since.
[[nodiscard]] double heading_variance_since_still(const PreparedStrap& strap, Eigen::Index i);

/// A standing body faces the same way before, between and after the reps: the heading's drift, a
/// straight line through what it shows in the `standing` stretches, is taken out of the sensor's
/// orientation and the segment's. How a person stands scatters about it, by `heading_floor` as
/// usual: that leaves the line uncertain, not the heading between. What scatters more than usual
/// may be the strap, and counts in full. Both are in `heading_u`.
void remove_heading_drift(PreparedStrap& strap, const Eigen::VectorXd& t, double still_s,
                          const std::vector<Interval>& standing, double heading_floor);

}  // namespace strapline::dsp
