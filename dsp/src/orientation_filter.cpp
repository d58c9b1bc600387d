#include "strapline/dsp/orientation_filter.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

#include "square.hpp"

namespace strapline::dsp {
namespace {

using namespace error_index;
using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double kStartVelocitySd = 0.5;    // m/s
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

/// Half of the way from one orientation to another that is less than half a turn away.
Quaterniond midway(const Quaterniond& a, const Quaterniond& b) {
  Quaterniond sum;
  sum.coeffs() =
      a.dot(b) < 0.0 ? (a.coeffs() - b.coeffs()).eval() : (a.coeffs() + b.coeffs()).eval();
  return sum.normalized();
}

/// How the error moves over one epoch; `q0` is the orientation at its start.
EpochTransition transition_of(const Quaterniond& q0, const EpochReadings& epoch, double leak) {
  EpochTransition phi;
  phi.duration = epoch.duration;
  phi.leak = leak;
  phi.force = skew(epoch.velocity_gain);
  phi.world_from_sensor = midway(q0, epoch.world_from_now).toRotationMatrix();
  phi.turn_by_gyr.leftCols<3>() = -epoch.duration * phi.world_from_sensor;
  phi.turn_by_gyr.rightCols<9>() = -epoch.gain_turn;
  return phi;
}

double spread(const Vector3d& sum, const Vector3d& squares, int count) {
  const Vector3d mean = sum / count;
  return std::sqrt(std::max(0.0, (squares / count - mean.cwiseProduct(mean)).maxCoeff()));
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
  return params;
}

void OrientationFilter::start_at(const MotionState& motion, double tilt_sd) {
  state_ = State{};
  state_.motion = motion;
  state_.epoch.world_from_now = motion.q_world_from_sensor;
  state_.covariance = start_covariance(params_, tilt_sd);
  state_.started = true;
}

bool OrientationFilter::update(double dt, const Vector3d& gyr, const Vector3d& acc, bool trusted) {
  if (!state_.started) {
    MotionState motion;
    motion.q_world_from_sensor = level(acc);
    start_at(motion, params_.start_tilt_sd);
  }
  if (state_.rest.count == 0 && state_.epoch.duration == 0.0 && dt <= 0.0) {
    state_.last_gyr = gyr;
    state_.last_rate = state_.motion.true_rate(gyr);
    state_.last_acc = acc;
    return false;
  }
  integrate(dt, gyr, acc, trusted);
  watch_rest(dt, gyr, acc, trusted);
  if (state_.epoch.duration < params_.epoch_s * (1.0 - 1e-9)) return false;
  predict();
  hold_within_reach();
  if (state_.rest.duration >= params_.rest_window_s) close_rest_window();
  fold_in_correction();
  state_.epoch = EpochReadings{};
  state_.epoch.world_from_now = state_.motion.q_world_from_sensor;
  return true;
}

void OrientationFilter::integrate(double dt, const Vector3d& gyr, const Vector3d& acc,
                                  bool trusted) {
  EpochReadings& epoch = state_.epoch;
  const Vector3d rate0 = state_.last_rate;
  const Vector3d rate1 = state_.motion.true_rate(gyr);
  const Vector3d force = 0.5 * (state_.last_acc + acc) - state_.motion.acc_bias;
  // Rate linear within the interval: the mean turn plus the coning term (Savage 1998, from memory).
  const Vector3d mean_turn = 0.5 * dt * (rate0 + rate1);
  const Vector3d turn = mean_turn + dt * dt / 12.0 * rate0.cross(rate1);
  const Matrix3d world_from_now = epoch.world_from_now.toRotationMatrix();
  // Two turns at a time, with the orientation between them: the midpoint rule at half the cost.
  epoch.gain_pending += mean_turn;
  epoch.gain_due = !epoch.gain_due;
  if (!epoch.gain_due) epoch.take_gain_turn(world_from_now);
  epoch.shock += (acc - state_.last_acc).squaredNorm() * dt * dt;
  epoch.velocity_gain += world_from_now * (dt * (force + 0.5 * turn.cross(force)));
  epoch.world_from_now = epoch.world_from_now * exp_small_rotation(turn);
  epoch.duration += dt;
  epoch.rate_square_time += rate1.squaredNorm() * dt;
  if (!trusted) epoch.untrusted_s += dt;
  state_.last_gyr = gyr;
  state_.last_rate = rate1;
  state_.last_acc = acc;
}

void OrientationFilter::watch_rest(double dt, const Vector3d& gyr, const Vector3d& acc,
                                   bool trusted) {
  RestWindow& rest = state_.rest;
  rest.duration += dt;
  ++rest.count;
  rest.gyr_sum += gyr;
  rest.gyr_square += gyr.cwiseProduct(gyr);
  rest.acc_sum += acc;
  rest.acc_square += acc.cwiseProduct(acc);
  if (!trusted) rest.acc_square.array() += 1e6;  // spoils the window
}

void EpochReadings::take_gain_turn(const Matrix3d& turn) {
  for (int column = 0; column < 3; ++column) {
    gain_turn.middleCols<3>(3 * column) += gain_pending[column] * turn;
  }
  gain_pending.setZero();
}

void OrientationFilter::predict() {
  if (state_.epoch.gain_due)
    state_.epoch.take_gain_turn(state_.epoch.world_from_now.toRotationMatrix());
  const EpochReadings& epoch = state_.epoch;
  MotionState& motion = state_.motion;
  const double dt = epoch.duration;
  const double leak = std::exp(-dt / params_.reach_leak);
  epoch_result_.transition = transition_of(motion.q_world_from_sensor, epoch, leak);

  const Vector3d gain = epoch.velocity_gain - motion.gravity * dt * world_up();
  motion.position = leak * motion.position + dt * motion.velocity + 0.5 * dt * gain;
  motion.velocity += gain;
  motion.q_world_from_sensor = epoch.world_from_now.normalized();

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
      params_.rest_rate_max + 2.0 * std::sqrt(state_.covariance(kGyrBias, kGyrBias));
  state_.at_rest = gyr_spread < params_.rest_gyr_sd &&
                   spread(rest.acc_sum, rest.acc_square, rest.count) < params_.rest_acc_sd &&
                   left_over.norm() < allowed;
  state_.rest_windows = state_.at_rest ? state_.rest_windows + 1 : 0;
  if (!state_.at_rest) return;
  // A living body sways: the mean rate of a window is known no better than a part of its spread.
  const double gyr_sd = std::max(kGyrRestFloor, 0.5 * gyr_spread);
  correct(kVelocity, -state_.motion.velocity, square(params_.rest_velocity_sd));
  correct(kGyrBias, left_over,
          square(gyr_sd) + sway_variance(params_.rest_sway, rest.duration, state_.rest_windows));
}

void OrientationFilter::correct(int at, const Vector3d& observed, double variance) {
  epoch_result_.views[epoch_result_.view_count++] =
      BlockUpdate::take(at, observed, variance, correction_, state_.covariance);
}

void OrientationFilter::fold_in_correction() {
  state_.motion = state_.motion.plus(correction_);
  state_.last_rate = state_.motion.true_rate(state_.last_gyr);
  correction_.setZero();
}

Quaterniond OrientationFilter::orientation() const {
  const Quaterniond& now = state_.epoch.world_from_now;
  if (params_.reading_lag == 0.0) return now;
  return now * exp_small_rotation(params_.reading_lag * state_.last_rate);
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
