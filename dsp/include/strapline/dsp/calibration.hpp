#pragma once

#include <numbers>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/failure.hpp"
#include "strapline/dsp/inertial_series.hpp"

namespace strapline::dsp {

/// m/s², the conventional standard gravity (3rd CGPM, 1901).
inline constexpr double kStandardGravity = 9.80665;

/// Normal gravity at sea level on the WGS 84 ellipsoid, m/s²: Somigliana's formula with the
/// constants of NIMA TR8350.2 (3rd edition, 2000). `latitude` geodetic, rad.
[[nodiscard]] double normal_gravity(double latitude);

/// What a desk shows of one kind of sensor: true = gain · (reading − offset).
struct TriadCalibration {
  Eigen::Matrix3d gain = Eigen::Matrix3d::Identity();  ///< 1; symmetric: skew axes, no turn
  Eigen::Matrix3d gain_u = Eigen::Matrix3d::Zero();    ///< 1, standard uncertainty of each
  Eigen::Vector3d offset = Eigen::Vector3d::Zero();    ///< m/s² or rad/s, in the readings
  Eigen::Vector3d offset_u = Eigen::Vector3d::Zero();  ///< same
};

/// A stretch in which a strap lay or was held still.
struct StillPose {
  Interval when;             ///< s, of the series' time
  int n = 0;                 ///< samples
  Eigen::Vector3d acc_mean;  ///< m/s², as read
  Eigen::Vector3d gyr_mean;  ///< rad/s, as read
  double gyr_sd = 0.0;       ///< rad/s, spread, RMS of the axes
};

/// One strap's calibration. A default one changes nothing.
struct StrapCalibration {
  TriadCalibration acc, gyr;
  double gravity = kStandardGravity;  ///< m/s², that |f| was fitted to
  int poses = 0;                      ///< still poses that were used
  bool skew_seen = false;             ///< the poses told the accelerometer's axes' skew
  int turns = 0;                      ///< turns by the known angle; 0: gyroscope's gain untouched
  double residual_before = 0.0;       ///< m/s², RMS of |f| − gravity over the poses, as read
  double residual_after = 0.0;        ///< m/s², same, calibrated
};

/// How a calibration is made. Physical limits, one set for every part.
struct CalibrationOptions {
  double gravity = kStandardGravity;  ///< m/s², where the desk stands
  double turn_angle = 0.0;            ///< rad (2π·k): of each turn about one axis; 0: no turns
  double window_s = 0.5;              ///< s, over which stillness is judged
  double edge_s = 0.3;                ///< s, left out at both ends of a still stretch
  double least_pose_s = 1.0;          ///< s, without those ends
  double still_gyr_sd = 0.02;         ///< rad/s per axis: a strap lying, or held against an edge
  double still_acc_sd = 0.12;         ///< m/s² per axis, noise of a poor part included
  double still_rate = 0.02;           ///< rad/s, of a pose's mean rate from that of the others
  double skew_sd = 0.01;   ///< 1, of an axis's skew before any pose (datasheets: 1–2 %)
  double pose_sd = 0.01;   ///< m/s², of a pose's |f|: what the model leaves out
  double turn_sd = 0.012;  ///< rad (0.7°), of a turn by hand against the desk's edge
};

/// The still stretches of a recording, in time order.
[[nodiscard]] std::vector<StillPose> still_poses(const InertialSeries& series,
                                                 const CalibrationOptions& options = {});

/// Gyroscope offset from rest; accelerometer gain and offset such that |f| is gravity in every pose
/// (ellipsoid: linear start, then Gauss–Newton with the skew held near zero by its prior);
/// gyroscope gain per axis from turns by a known angle, where asked for. Fails where there are
/// fewer than six poses, where they leave a direction of an axis out, or where an axis misses its
/// turn.
[[nodiscard]] Result<StrapCalibration> calibrate(const InertialSeries& series,
                                                 const CalibrationOptions& options = {});

/// Readings corrected in place.
void apply(const StrapCalibration& calibration, InertialSeries& series);

/// A part's errors after its calibration: bias figures shrink to what calibrating leaves and what
/// warmth and switching on change afterwards, the accelerometer's cross-axis error to what the
/// poses leave of the skew, where they told it; never above what they were.
[[nodiscard]] SensorErrors narrowed(const SensorErrors& errors,
                                    const StrapCalibration& calibration);

}  // namespace strapline::dsp
