#include "strapline/dsp/orientation_filter.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

#include "square.hpp"
#include "wide_vectors.hpp"

namespace strapline::dsp {
namespace {

using namespace error_index;
using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kStartVelocitySd = 0.5;  // m/s
// Sigma of each axis's bias: a vector of three is longer in one case of a thousand (chi with three
// degrees of freedom). Who misses the first rest with an old part's bias may never find it.
constexpr double kBiasReach = 4.0;
constexpr double kGyrRestFloor = 3.0e-4;    // rad/s: a part's bias instability within one window
constexpr double kUntrustedRateSd = 3.0;    // rad/s: what may have gone unseen in a gap
constexpr double kUntrustedForceSd = 10.0;  // m/s²

void set_block_variance(ErrorMatrix& p, int at, double sd) {
  p.diagonal().segment<3>(at).setConstant(square(sd));
}

ErrorMatrix start_covariance(const OrientationParams& params, double tilt_sd) {
  ErrorMatrix p = ErrorMatrix::Zero();
  set_block_variance(p, kTheta, tilt_sd);
  p(kTheta + 1, kTheta + 1) = 0.0;  // the start defines the heading
  set_block_variance(p, kVelocity, kStartVelocitySd);
  set_block_variance(p, kPosition, params.reach_sd);
  set_block_variance(p, kGyrBias, params.gyr_bias_sd);
  set_block_variance(p, kAccBias, params.acc_bias_sd);
  p(kGravity, kGravity) = square(params.gravity_sd);
  p.diagonal().segment<9>(kGyrGain).setConstant(square(params.gyr_gain_sd));
  return p;
}

/// Variances gained over one epoch by noise, relative rate error and unseen motion.
ErrorVector process_variance(const OrientationParams& params, const EpochReadings& epoch) {
  const double dt = epoch.duration;
  const double turn =
      square(params.gyr_noise_density) * dt +
      square(params.gyr_relative_error) * params.gyr_relative_time * epoch.rate_square_time +
      square(kUntrustedRateSd * epoch.untrusted_s);
  ErrorVector q;
  q.segment<3>(kTheta).setConstant(turn);
  q.segment<3>(kVelocity).setConstant(square(params.acc_noise_density) * dt +
                                      square(params.shock_share) * epoch.shock +
                                      square(kUntrustedForceSd * epoch.untrusted_s));
  q.segment<3>(kPosition).setConstant(square(params.reach_walk) * dt);
  q.segment<3>(kGyrBias).setConstant(square(params.gyr_bias_walk) * dt);
  q.segment<9>(kGyrGain).setZero();
  q.segment<3>(kAccBias).setConstant(square(params.acc_bias_walk) * dt);
  q[kGravity] = 0.0;
  return q;
}

/// How the error moves over one epoch.
EpochTransition transition_of(const EpochReadings& epoch, double leak) {
  EpochTransition phi;
  phi.duration = epoch.duration;
  phi.leak = leak;
  phi.force = skew(epoch.velocity_gain);
  phi.frame_time = epoch.frame_time;
  phi.turn_by_gyr.leftCols<3>() = -epoch.frame_time;
  phi.turn_by_gyr.rightCols<9>() = -epoch.gain_turn;
  return phi;
}

/// Over all three axes together: how the sensor is turned in its housing must not matter.
double spread(const Vector3d& sum, double squares, int count) {
  return std::sqrt(std::max(0.0, squares / count - (sum / count).squaredNorm()));
}

/// What sway adds to the mean rate of the n-th window of a rest. Sway comes back: over n windows
/// the mean rate is wrong by √2·sway/(n·window), and these variances leave just that.
double sway_variance(double sway, double window_s, int n) {
  return 2.0 * square(sway / window_s) / (2.0 * n - 1.0);
}

}  // namespace

OrientationParams params_for(const SensorErrors& errors, OrientationParams params) {
  params.gyr_bias_sd = errors.gyr_bias_sd;
  params.acc_bias_sd = errors.acc_bias_sd;
  params.reading_lag = errors.reading_lag;
  params.gyr_gain_sd = errors.gyr_gain_sd;
  return params;
}

void OrientationFilter::start_at(const MotionState& motion, double tilt_sd) {
  state_ = State{};
  state_.motion = motion;
  state_.epoch = EpochReadings::from(motion.q_world_from_sensor);
  state_.covariance = start_covariance(params_, tilt_sd);
  state_.started = true;
}

STRAPLINE_WIDE_VECTORS bool OrientationFilter::update(double dt, const Vector3d& gyr,
                                                      const Vector3d& acc, bool trusted) {
  if (!state_.started) {
    MotionState motion;
    motion.q_world_from_sensor = level(acc);
    start_at(motion, params_.start_tilt_sd);
  }
  const bool first = state_.rest.count == 0 && state_.epoch.duration == 0.0 && dt <= 0.0;
  if (!first) {
    state_.epoch.take(dt, state_.last, gyr, acc, state_.motion, trusted);
    watch_rest(dt, gyr, acc, trusted);
  }
  state_.last.gyr = gyr;
  state_.last.acc = acc;
  if (first) return false;
  if (state_.epoch.duration < params_.epoch_s * (1.0 - 1e-9)) return false;
  predict();
  hold_within_reach();
  if (state_.rest.duration >= params_.rest_window_s) close_rest_window();
  fold_in_correction();
  state_.epoch = EpochReadings::from(state_.motion.q_world_from_sensor);
  return true;
}

void OrientationFilter::watch_rest(double dt, const Vector3d& gyr, const Vector3d& acc,
                                   bool trusted) {
  RestWindow& rest = state_.rest;
  rest.duration += dt;
  ++rest.count;
  rest.gyr_sum += gyr;
  rest.gyr_square += gyr.squaredNorm();
  rest.acc_sum += acc;
  rest.acc_square += acc.squaredNorm();
  if (!trusted) rest.acc_square += 1e6;  // spoils the window
}

void OrientationFilter::predict() {
  MotionState& motion = state_.motion;
  if (state_.epoch.block.count > 0) state_.epoch.close_block(motion);
  const EpochReadings& epoch = state_.epoch;
  const double dt = epoch.duration;
  const double leak = std::exp(-dt / params_.reach_leak);
  epoch_result_.transition = transition_of(epoch, leak);

  const Vector3d fall = motion.gravity * dt * world_up();
  motion.position =
      leak * motion.position + dt * (motion.velocity - 0.5 * fall) + epoch.position_gain;
  motion.velocity += epoch.velocity_gain - fall;
  motion.q_world_from_sensor = epoch.world_from_block.normalized();

  epoch_result_.transition.propagate(state_.covariance);
  state_.covariance.diagonal() += process_variance(params_, epoch);
  epoch_result_.view_count = 0;
}

void OrientationFilter::hold_within_reach() {
  // Excursions last reach_time, so neighbouring epochs say the same: spread one view over them.
  const double views = 2.0 * params_.reach_time / state_.epoch.duration;
  const double distance = state_.motion.position.norm() / (3.0 * params_.reach_sd);
  const double variance = square(params_.reach_sd) * views * std::max(1.0, square(distance));
  correct(kPosition, -state_.motion.position, variance);
}

void OrientationFilter::close_rest_window() {
  const RestWindow rest = state_.rest;
  state_.rest = RestWindow{};
  const Vector3d rate = rest.gyr_sum / rest.count;
  const double gyr_spread = spread(rest.gyr_sum, rest.gyr_square, rest.count);
  const Vector3d left_over = rate - state_.motion.gyr_bias;
  const double allowed =
      params_.rest_rate_max + kBiasReach * std::sqrt(state_.covariance(kGyrBias, kGyrBias));
  const bool quiet = gyr_spread < params_.rest_gyr_sd &&
                     spread(rest.acc_sum, rest.acc_square, rest.count) < params_.rest_acc_sd &&
                     left_over.norm() < allowed;
  if (!quiet) state_.rest_acc.reset();
  state_.at_rest = quiet && keeps_posture(rest.acc_sum / rest.count);
  state_.rest_windows = state_.at_rest ? state_.rest_windows + 1 : 0;
  if (!state_.at_rest) return;
  // A living body sways: the mean rate of a window is known no better than a part of its spread.
  const double gyr_sd = std::max(kGyrRestFloor, 0.5 * gyr_spread);
  correct(kVelocity, -state_.motion.velocity, square(params_.rest_velocity_sd));
  correct(kGyrBias, left_over,
          square(gyr_sd) + sway_variance(params_.rest_sway, rest.duration, state_.rest_windows));
}

/// Whether gravity still comes from where it came from in the first quiet window. Where not, the
/// strap turned slowly, and only the next window can say that this has stopped.
bool OrientationFilter::keeps_posture(const Vector3d& mean_acc) {
  const bool kept =
      !state_.rest_acc || (mean_acc - *state_.rest_acc).norm() < params_.rest_acc_drift;
  if (!state_.rest_acc || !kept) state_.rest_acc = mean_acc;
  return kept;
}

void OrientationFilter::correct(int at, const Vector3d& observed, double variance) {
  epoch_result_.views[epoch_result_.view_count++] =
      BlockUpdate::take(at, observed, variance, correction_, state_.covariance);
}

void OrientationFilter::fold_in_correction() {
  state_.motion = state_.motion.plus(correction_);
  correction_.setZero();
}

STRAPLINE_WIDE_VECTORS Quaterniond OrientationFilter::orientation() const {
  const Vector3d ahead = params_.reading_lag * (state_.last.gyr - state_.motion.gyr_bias);
  const EpochReadings& epoch = state_.epoch;
  return turned(epoch.world_from_block, epoch.block.rotation(state_.motion, ahead));
}

double OrientationFilter::tilt_u() const {
  const ErrorMatrix& p = state_.covariance;
  return std::hypot(
      params_.tilt_floor,
      std::sqrt(std::max(0.0, 0.5 * (p(kTheta, kTheta) + p(kTheta + 2, kTheta + 2)))));
}

double OrientationFilter::heading_u() const {
  return std::sqrt(std::max(0.0, state_.covariance(kTheta + 1, kTheta + 1)));
}

}  // namespace strapline::dsp
