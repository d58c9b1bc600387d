#pragma once

#include <array>
#include <cstddef>
#include <optional>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "strapline/dsp/epoch_readings.hpp"
#include "strapline/dsp/error_propagation.hpp"
#include "strapline/dsp/inertial_series.hpp"
#include "strapline/dsp/motion_state.hpp"

namespace strapline::dsp {

/// What is assumed of the sensor and of how a strapped-on sensor moves. Physical quantities, one
/// set for every use.
struct OrientationParams {
  double epoch_s = 0.2;               ///< s, correction period; samples are integrated at full rate
  double gyr_noise_density = 1.7e-4;  ///< rad/s/√Hz, white (about 0.01 °/s/√Hz)
  /// 1, see SensorErrors. One figure for all nine: a sensor may sit in its housing any way round.
  double gyr_gain_sd = 0.0075;
  double gyr_relative_error = 0.002;  ///< 1, what of the rate's error is not constant, one sigma…
  double gyr_relative_time = 0.3;     ///< s, …and keeps its direction for about so long
  double start_tilt_sd = 0.3;         ///< rad, started in the middle of a movement
  double gyr_bias_sd = 0.02;          ///< rad/s, at the start
  double gyr_bias_walk = 2.0e-5;      ///< rad/s/√s
  double acc_noise_density = 0.05;    ///< m/s²/√Hz, white: vibration, and scale errors in motion
  double shock_share = 0.1;  ///< 1, of the change from sample to sample that integration may miss
  double acc_bias_sd = 0.1;  ///< m/s², at the start
  double acc_bias_walk = 1.0e-4;  ///< m/s²/√s
  double gravity_sd = 0.2;        ///< m/s², of the length that the accelerometer gives gravity
  double reach_sd = 0.5;          ///< m, a strap stays within about this of its middle place…
  double reach_time = 0.4;        ///< s, …where excursions last about this long
  double reach_leak = 6.0;        ///< s, after which walking away is forgotten
  double reach_walk = 0.1;        ///< m/√s, how the middle place itself wanders
  double rest_window_s = 0.5;     ///< s, length over which rest is judged
  double rest_gyr_sd = 0.035;     ///< rad/s, spread of the rate below which a window may be rest
  double rest_acc_sd = 0.25;      ///< m/s², same for the specific force
  /// m/s², of a window's mean force from that of the rest's first: three sigma of rest_sway at
  /// both. What turns slowly looks like a gyroscope's bias, but then gravity comes from elsewhere.
  double rest_acc_drift = 0.18;
  double rest_rate_max = 0.06;     ///< rad/s, mean rate less the known bias, at most
  double rest_velocity_sd = 0.02;  ///< m/s, of a strap at rest
  /// rad (0.25°), RMS: a person who stands still sways so far about any axis and comes back.
  double rest_sway = 0.0044;
  double reading_lag = 0.0;    ///< s, see SensorErrors::reading_lag
  double tilt_floor = 0.0017;  ///< rad (0.1°), of the stated tilt: what no model of the part holds
};

/// The defaults with what is known of this part: its biases' and gain errors' sizes, its readings'
/// lag.
[[nodiscard]] OrientationParams params_for(const SensorErrors& errors,
                                           OrientationParams params = {});

/// Sums over the window in which rest is judged.
struct RestWindow {
  double duration = 0.0;  ///< s
  int count = 0;
  Eigen::Vector3d gyr_sum = Eigen::Vector3d::Zero(), acc_sum = Eigen::Vector3d::Zero();
  double gyr_square = 0.0, acc_square = 0.0;  ///< sums of squared lengths
};

/// The streaming estimator: strapdown integration at the sample rate, an error-state Kalman filter
/// at the epoch rate. What corrects the tilt is not "the accelerometer shows gravity" but "a worn
/// strap stays within reach": velocity and position are integrated and the position is held near
/// zero, so that over whole movements the mean specific force is gravity. Rest adds zero velocity
/// and a direct view of the gyroscope's bias. Heading is relative and drifts.
class OrientationFilter {
 public:
  /// All that the estimator remembers; copy it to save, assign it to restore.
  struct State {
    MotionState motion;
    ErrorMatrix covariance = ErrorMatrix::Zero();
    EpochReadings epoch;
    RestWindow rest;
    Reading last;  ///< the sample before
    bool started = false;
    bool at_rest = false;
    int rest_windows = 0;  ///< at rest, one after the other
    /// m/s², mean of the first quiet window in this posture.
    std::optional<Eigen::Vector3d> rest_acc;
  };

  /// What one closed epoch did; the smoother runs backwards over these.
  struct EpochResult {
    EpochTransition transition;  ///< from the corrected state before to the prediction
    std::array<BlockUpdate, 3> views;
    std::size_t view_count = 0;
  };

  explicit OrientationFilter(const OrientationParams& params = {}) : params_(params) {}

  /// Take one sample: `dt` s since the one before, rate rad/s, specific force m/s², sensor frame.
  /// `trusted` is false for a sample after a gap or one at the end of the scale.
  /// Returns true where the sample closed an epoch (the state was corrected).
  bool update(double dt, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc,
              bool trusted = true);

  /// Orientation now: between epochs carried on by the gyroscope, ahead of it by the readings' lag.
  [[nodiscard]] Eigen::Quaterniond orientation() const;
  /// Standard uncertainty of the inclination now, rad (root mean square of both tilt axes).
  [[nodiscard]] double tilt_u() const;
  /// Standard uncertainty of the heading gained since the start, rad.
  [[nodiscard]] double heading_u() const;
  [[nodiscard]] bool at_rest() const { return state_.at_rest; }

  [[nodiscard]] const State& state() const { return state_; }
  void restore(const State& state) { state_ = state; }
  [[nodiscard]] const EpochResult& last_epoch() const { return epoch_result_; }
  [[nodiscard]] const OrientationParams& params() const { return params_; }

  /// Start from a known tilt instead of the first readings (smoother's second pass).
  void start_at(const MotionState& motion, double tilt_sd);

 private:
  void watch_rest(double dt, const Eigen::Vector3d& gyr, const Eigen::Vector3d& acc, bool trusted);
  void close_rest_window();
  bool keeps_posture(const Eigen::Vector3d& mean_acc);
  void predict();
  void hold_within_reach();
  void correct(int at, const Eigen::Vector3d& observed, double variance);
  void fold_in_correction();

  OrientationParams params_;
  State state_;
  EpochResult epoch_result_;
  ErrorVector correction_ = ErrorVector::Zero();  ///< of the open epoch, not yet folded in
};

}  // namespace strapline::dsp
