#include "strapline/dsp/orientation_smoother.hpp"

#include <cmath>

#include <Eigen/Cholesky>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr std::uint8_t kUntrusted = kAccelerometerSaturated | kGyroscopeSaturated | kAfterGap;

/// The filter's record of one closed epoch and, after the backward pass, the smoothed state.
struct EpochRecord {
  Index last_sample = 0;
  MotionState motion;
  ErrorMatrix covariance;
  OrientationFilter::EpochResult step;  // how the epoch before led here
  bool at_rest = false;
};

bool trusted(const InertialSeries& series, Index i) {
  return series.flags.empty() || (series.flags[static_cast<std::size_t>(i)] & kUntrusted) == 0;
}

OrientationSeries empty_result(const InertialSeries& series) {
  const Index n = series.size();
  OrientationSeries out;
  out.t = series.t;
  out.q_world_from_sensor.assign(static_cast<std::size_t>(n), Quaterniond::Identity());
  out.tilt_u = Eigen::VectorXd::Zero(n);
  out.heading_u = Eigen::VectorXd::Zero(n);
  out.at_rest.assign(static_cast<std::size_t>(n), 0);
  return out;
}

bool feed(OrientationFilter& filter, const InertialSeries& series, Index i) {
  const double dt = i == 0 ? 0.0 : series.t[i] - series.t[i - 1];
  return filter.update(dt, series.gyr.col(i), series.acc.col(i), trusted(series, i));
}

std::vector<EpochRecord> forward(const InertialSeries& series, OrientationFilter filter) {
  std::vector<EpochRecord> records;
  records.reserve(static_cast<std::size_t>(series.size() / 4 + 2));
  for (Index i = 0; i < series.size(); ++i) {
    const bool closed = feed(filter, series, i);
    if (i == 0) {
      records.push_back({0, filter.state().motion, filter.state().covariance, {}, false});
    } else if (closed) {
      records.push_back({i, filter.state().motion, filter.state().covariance, filter.last_epoch(),
                         filter.at_rest()});
    }
  }
  return records;
}

/// Rauch–Tung–Striebel over the epochs, in place.
void backward(std::vector<EpochRecord>& records) {
  for (std::size_t k = records.size() - 1; k-- > 0;) {
    EpochRecord& here = records[k];
    const EpochRecord& next = records[k + 1];
    const ErrorMatrix cross = here.covariance * next.step.transition.transpose();
    const ErrorMatrix gain =
        next.step.predicted_covariance.ldlt().solve(cross.transpose()).transpose();
    here.motion = here.motion.plus(gain * next.motion.minus(next.step.predicted));
    here.covariance += gain * (next.covariance - next.step.predicted_covariance) * gain.transpose();
  }
}

double tilt_u(const ErrorMatrix& p) { return std::sqrt(std::max(0.0, 0.5 * (p(0, 0) + p(2, 2)))); }

/// Gyroscope integration from one smoothed epoch to the next; the gap left at the end is spread
/// evenly over the samples.
void fill_between(const InertialSeries& series, const EpochRecord& from, const EpochRecord& to,
                  OrientationSeries& out) {
  const Index first = from.last_sample;
  const Index last = to.last_sample;
  const Vector3d bias = 0.5 * (from.motion.gyr_bias + to.motion.gyr_bias);
  Quaterniond q = from.motion.q_world_from_sensor;
  auto at = [&](Index i) -> Quaterniond& {
    return out.q_world_from_sensor[static_cast<std::size_t>(i)];
  };
  at(first) = q;
  for (Index i = first + 1; i <= last; ++i) {
    const double dt = series.t[i] - series.t[i - 1];
    const Vector3d r0 = series.gyr.col(i - 1) - bias;
    const Vector3d r1 = series.gyr.col(i) - bias;
    q = q * exp_rotation(0.5 * dt * (r0 + r1) + dt * dt / 12.0 * r0.cross(r1));
    at(i) = q;
  }
  const Vector3d gap = log_rotation(to.motion.q_world_from_sensor * q.conjugate());
  const double span = series.t[last] - series.t[first];
  const double u0 = tilt_u(from.covariance), u1 = tilt_u(to.covariance);
  const double h0 = from.covariance(1, 1), h1 = to.covariance(1, 1);
  for (Index i = first; i <= last; ++i) {
    const double part = span > 0.0 ? (series.t[i] - series.t[first]) / span : 1.0;
    at(i) = (exp_rotation(part * gap) * at(i)).normalized();
    out.tilt_u[i] = (1.0 - part) * u0 + part * u1;
    out.heading_u[i] = std::sqrt(std::max(0.0, (1.0 - part) * h0 + part * h1));
    out.at_rest[static_cast<std::size_t>(i)] = to.at_rest ? 1 : 0;
  }
}

/// After the last closed epoch the gyroscope alone carries on.
void carry_on(const InertialSeries& series, const EpochRecord& from, OrientationSeries& out) {
  EpochRecord to = from;
  to.last_sample = series.size() - 1;
  for (Index i = from.last_sample + 1; i <= to.last_sample; ++i) {
    const double dt = series.t[i] - series.t[i - 1];
    const Vector3d rate = 0.5 * (series.gyr.col(i - 1) + series.gyr.col(i)) - from.motion.gyr_bias;
    to.motion.q_world_from_sensor = to.motion.q_world_from_sensor * exp_rotation(dt * rate);
  }
  fill_between(series, from, to, out);
}

}  // namespace

OrientationSeries streaming_orientation(const InertialSeries& series,
                                        const OrientationParams& params) {
  OrientationSeries out = empty_result(series);
  OrientationFilter filter(params);
  for (Index i = 0; i < series.size(); ++i) {
    feed(filter, series, i);
    out.q_world_from_sensor[static_cast<std::size_t>(i)] = filter.orientation();
    out.tilt_u[i] = filter.tilt_u();
    out.heading_u[i] = filter.heading_u();
    out.at_rest[static_cast<std::size_t>(i)] = filter.at_rest() ? 1 : 0;
  }
  out.gyr_bias = filter.state().motion.gyr_bias;
  return out;
}

OrientationSeries smoothed_orientation(const InertialSeries& series,
                                       const OrientationParams& params) {
  OrientationSeries out = empty_result(series);
  if (series.size() < 2) return out;
  std::vector<EpochRecord> records = forward(series, OrientationFilter(params));
  backward(records);
  // Once more from the smoothed beginning: the first pass started from one reading, far off where
  // the recording begins in the middle of a movement, and was linearised there.
  OrientationFilter again(params);
  MotionState start = records.front().motion;
  start.acc_bias.setZero();  // the sensor's priors stay what they are
  start.gyr_bias.setZero();
  start.gravity = MotionState{}.gravity;
  again.start_at(start, 0.3);
  records = forward(series, again);
  backward(records);

  for (std::size_t k = 0; k + 1 < records.size(); ++k) {
    fill_between(series, records[k], records[k + 1], out);
    out.gyr_bias += records[k + 1].motion.gyr_bias;
  }
  carry_on(series, records.back(), out);
  if (records.size() > 1) out.gyr_bias /= static_cast<double>(records.size() - 1);
  return out;
}

}  // namespace strapline::dsp
