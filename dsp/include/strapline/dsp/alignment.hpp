#pragma once

#include <optional>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// How a sensor sits on its segment, and which way the segment faced while standing still.
struct SegmentAlignment {
  Eigen::Quaterniond q_sensor_from_segment = Eigen::Quaterniond::Identity();
  double start_heading = 0.0;  ///< rad, of the segment's X in the strap's own world while still
  double axis_u = 0.0;         ///< rad, scatter of the flexion axis over the movement, 1 sigma
  double turn = 0.0;           ///< rad, how far the movement went from standing (its information)
  double toe_line_u = 0.0;     ///< rad, statistical part, where the bends show the toe line
  /// rad, of a slanting leg's lean along the toe line while still; signed: the error of the toe-out
  /// behind it is the same for thigh and shank.
  double lean_u = 0.0;
  double hinge_heading_u = 0.0;  ///< rad, of a thigh's heading against its shank's
  /// rad, of a fitted shank: how far Z may point too high in the world as its strap takes it.
  double across_u = 0.0;
  double facing_u = 0.0;  ///< rad, of start_heading against the way the client faced (arm sets)
  /// 1: how much of its tilt about X the frame takes from standing; the rest is the hinge's.
  double standing_share = 1.0;
  bool by_hinge = false;  ///< the axis is the joint's, found from both of its segments
};

/// The least turn away from standing that shows a flexion axis, rad (5°).
inline constexpr double kLeastAlignTurn = 0.087;

/// Mean direction of up in the sensor frame over an interval of the grid; empty where not known.
[[nodiscard]] std::optional<Eigen::Vector3d> up_in_sensor(const GridMotion& motion,
                                                          const Eigen::VectorXd& t,
                                                          const Interval& still);

/// The furthest turn about the vertical away from the mean of `still`, rad; 0 where not known.
[[nodiscard]] double upright_turn(const GridMotion& motion, const Eigen::VectorXd& t,
                                  const Interval& still, const Interval& movement);

/// Sensor to segment from standing still plus a movement: the segment's Y is up while still, its Z
/// the horizontal axis about which the movement turned it away from standing (principal direction
/// of the rotation vectors from standing; after Seel et al. 2014 in spirit, but on angles, since a
/// slow bend has little rate). `away_sign`: +1 where the segment turns positively about its Z on
/// the way away from standing (thigh), −1 where negatively (shank, pelvis, trunk). Empty where
/// still or movement is not known, or the movement turned by less than kLeastAlignTurn.
[[nodiscard]] std::optional<SegmentAlignment> align_to_segment(const GridMotion& motion,
                                                               const Eigen::VectorXd& t,
                                                               const Interval& still,
                                                               const Interval& movement,
                                                               double away_sign);

}  // namespace strapline::dsp
