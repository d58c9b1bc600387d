#include "strapline/dsp/orientation_smoother.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

#include "wide_vectors.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using EpochRecord = OrientationSmoother::EpochRecord;
constexpr int kSmoothed = OrientationSmoother::kSmoothed;

constexpr std::uint8_t kUntrusted = kAccelerometerSaturated | kGyroscopeSaturated | kAfterGap;

constexpr double kStartSpan = 20.0;  // s, enough to find the tilt at the beginning

Index samples_within(const InertialSeries& series, double span) {
  const double* end =
      std::upper_bound(series.t.data(), series.t.data() + series.size(), series.t[0] + span);
  return std::max<Index>(2, end - series.t.data());
}

bool trusted(const InertialSeries& series, Index i) {
  return series.flags.empty() || (series.flags[static_cast<std::size_t>(i)] & kUntrusted) == 0;
}

/// With room for a value at each sample, not yet set: a long set's would be written twice.
OrientationSeries unset_result(const InertialSeries& series) {
  const Index n = series.size();
  OrientationSeries out;
  out.t = series.t;
  out.q_world_from_sensor.resize(static_cast<std::size_t>(n));
  out.tilt_u.resize(n);
  out.heading_u.resize(n);
  out.vertical_velocity.resize(n);
  out.at_rest.resize(static_cast<std::size_t>(n));
  return out;
}

/// Of a recording too short to be smoothed.
OrientationSeries empty_result(const InertialSeries& series) {
  OrientationSeries out = unset_result(series);
  std::fill(out.q_world_from_sensor.begin(), out.q_world_from_sensor.end(),
            Quaterniond::Identity());
  out.tilt_u.setZero();
  out.heading_u.setZero();
  out.vertical_velocity.setZero();
  out.tilt_covariance = Eigen::Matrix3Xd::Zero(3, series.size());
  return out;
}

bool feed(OrientationFilter& filter, const InertialSeries& series, Index i) {
  const double dt = i == 0 ? 0.0 : series.t[i] - series.t[i - 1];
  return filter.update(dt, series.gyr.col(i), series.acc.col(i), trusted(series, i));
}

Eigen::Matrix3d offset_covariance(const OrientationFilter& filter) {
  return filter.state().covariance.block<3, 3>(error_index::kAccBias, error_index::kAccBias);
}

/// The record's motion moved by what came after it.
MotionState corrected(const EpochRecord& record, const ErrorVector& lambda) {
  ErrorVector error = ErrorVector::Zero();
  error.head<kSmoothed>() = -record.covariance.transpose().lazyProduct(lambda);
  return record.motion.plus(error);
}

/// One step backwards over the epoch that led to a record (modified Bryson & Frazier, Bierman
/// 1977): no matrix is inverted, and Φ's few blocks do for the rest.
template <class Adjoint>
void step_back(const EpochRecord& record, const std::vector<BlockUpdate>& views, Adjoint& lambda) {
  for (std::size_t k = record.views_end; k-- > record.views_begin;) views[k].pull_back(lambda);
  record.transition.pull_back(lambda);
}

double tilt_variance(const EpochRecord& record) {
  return 0.5 * (record.covariance(0, 0) + record.covariance(2, 2));
}

Vector3d tilt_covariance(const EpochRecord& record) {
  const auto& p = record.covariance;
  return {p(0, 0), p(0, 2), p(2, 2)};
}

Eigen::Vector4d tilt_with_reference(const EpochRecord& record) {
  const ThreeErrors& c = record.with_reference;
  return {c(0, 0), c(0, 2), c(2, 0), c(2, 2)};
}

/// Gyroscope integration from one smoothed epoch to the next; the gap left at the end is spread
/// evenly over the samples. `part`: of the epoch, at each of its samples.
void fill_orientation(const InertialSeries& series, const EpochRecord& from, const EpochRecord& to,
                      const OrientationParams& params, const Eigen::ArrayXd& part,
                      OrientationSeries& out) {
  const Index first = from.last_sample;
  const Index last = to.last_sample;
  MotionState sensor = to.motion;  // its errors are what is wanted of it
  sensor.gyr_bias = 0.5 * (from.motion.gyr_bias + to.motion.gyr_bias);
  auto at = [&](Index i) -> Quaterniond& {
    return out.q_world_from_sensor[static_cast<std::size_t>(i)];
  };
  Quaterniond q = from.motion.q_world_from_sensor;
  Vector3d rate = sensor.true_rate(series.gyr.col(first));
  at(first) = turned(q, params.reading_lag * rate);
  for (Index i = first + 1; i <= last; ++i) {
    const double dt = series.t[i] - series.t[i - 1];
    const Vector3d next = sensor.true_rate(series.gyr.col(i));
    q = turned(q, (0.5 * dt) * (rate + next) + ((1.0 / 12.0) * dt * dt) * rate.cross(next));
    rate = next;
    at(i) = turned(q, params.reading_lag * rate);
  }
  const Vector3d gap = log_rotation(to.motion.q_world_from_sensor * q.conjugate());
  for (Index i = first; i <= last; ++i) {
    at(i) = renormalized(exp_small_rotation(part[i - first] * gap) * at(i));
  }
}

/// What is known at the ends, linear in between.
void fill_uncertainty(const EpochRecord& from, const EpochRecord& to, double floor_variance,
                      const Eigen::ArrayXd& part, OrientationSeries& out) {
  const Index first = from.last_sample;
  const Index n = part.size();
  const auto between = [&](double a, double b) -> Eigen::ArrayXd { return a + part * (b - a); };
  const auto sd = [&](double a, double b, double floor) -> Eigen::ArrayXd {
    return (floor + between(a, b).max(0.0)).sqrt();
  };
  out.tilt_u.segment(first, n) = sd(tilt_variance(from), tilt_variance(to), floor_variance);
  out.heading_u.segment(first, n) = sd(from.covariance(1, 1), to.covariance(1, 1), 0.0);
  out.vertical_velocity.segment(first, n) =
      between(from.motion.velocity.y(), to.motion.velocity.y());
  const Vector3d c0 = tilt_covariance(from), dc = tilt_covariance(to) - c0;
  for (Index i = 0; i < n; ++i) out.tilt_covariance.col(first + i) = c0 + part[i] * dc;
  if (out.tilt_with_reference.cols() == 0) return;
  const Eigen::Vector4d w0 = tilt_with_reference(from), dw = tilt_with_reference(to) - w0;
  for (Index i = 0; i < n; ++i) out.tilt_with_reference.col(first + i) = w0 + part[i] * dw;
}

/// From one smoothed epoch to the next.
STRAPLINE_WIDE_VECTORS void fill_between(const InertialSeries& series, const EpochRecord& from,
                                         const EpochRecord& to, const OrientationParams& params,
                                         OrientationSeries& out) {
  const Index first = from.last_sample;
  const Index n = to.last_sample - first + 1;
  const double span = series.t[to.last_sample] - series.t[first];
  Eigen::ArrayXd part = Eigen::ArrayXd::Ones(n);
  if (span > 0.0) part = (series.t.segment(first, n).array() - series.t[first]) / span;
  fill_orientation(series, from, to, params, part, out);
  fill_uncertainty(from, to, params.tilt_floor * params.tilt_floor, part, out);
  std::fill_n(out.at_rest.begin() + first, n, static_cast<char>(to.at_rest ? 1 : 0));
}

/// After the last closed epoch the gyroscope alone carries on.
void carry_on(const InertialSeries& series, const EpochRecord& from,
              const OrientationParams& params, OrientationSeries& out) {
  EpochRecord to = from;
  to.last_sample = series.size() - 1;
  for (Index i = from.last_sample + 1; i <= to.last_sample; ++i) {
    const double dt = series.t[i] - series.t[i - 1];
    const Vector3d rate = from.motion.true_rate(0.5 * (series.gyr.col(i - 1) + series.gyr.col(i)));
    to.motion.q_world_from_sensor = to.motion.q_world_from_sensor * exp_rotation(dt * rate);
  }
  fill_between(series, from, to, params, out);
}

}  // namespace

OrientationSeries streaming_orientation(const InertialSeries& series,
                                        const OrientationParams& params) {
  OrientationSeries out = unset_result(series);
  OrientationFilter filter(params);
  for (Index i = 0; i < series.size(); ++i) {
    feed(filter, series, i);
    out.q_world_from_sensor[static_cast<std::size_t>(i)] = filter.orientation();
    out.tilt_u[i] = filter.tilt_u();
    out.heading_u[i] = filter.heading_u();
    out.vertical_velocity[i] = filter.state().motion.velocity.y();
    out.at_rest[static_cast<std::size_t>(i)] = filter.at_rest() ? 1 : 0;
  }
  out.gyr_bias = filter.state().motion.gyr_bias;
  out.acc_bias_covariance = offset_covariance(filter);
  return out;
}

void OrientationSmoother::run_forward(const InertialSeries& series, Index samples,
                                      OrientationFilter& filter) {
  records_.clear();
  views_.clear();
  for (Index i = 0; i < samples; ++i) {
    const bool closed = feed(filter, series, i);
    if (i > 0 && !closed) continue;
    EpochRecord record;
    record.last_sample = i;
    record.motion = filter.state().motion;
    record.covariance = filter.state().covariance.leftCols<kSmoothed>();
    record.at_rest = filter.at_rest();
    record.views_begin = record.views_end = views_.size();
    if (closed) {
      const OrientationFilter::EpochResult& step = filter.last_epoch();
      record.transition = step.transition;
      views_.insert(views_.end(), step.views.begin(),
                    step.views.begin() + static_cast<std::ptrdiff_t>(step.view_count));
      record.views_end = views_.size();
    }
    records_.push_back(record);
  }
}

MotionState OrientationSmoother::smoothed_start() const {
  ErrorVector lambda = ErrorVector::Zero();
  for (std::size_t k = records_.size(); k-- > 1;) step_back(records_[k], views_, lambda);
  return corrected(records_.front(), lambda);
}

std::size_t OrientationSmoother::record_at(const InertialSeries& series, double time_s) const {
  std::size_t at = 0;
  while (at + 1 < records_.size() && series.t[records_[at].last_sample] < time_s) ++at;
  return at;
}

/// Forwards from the reference: its error is a constant that each step's covariance follows.
void OrientationSmoother::carry_reference(std::size_t reference) {
  ThreeErrors c = records_[reference].covariance.leftCols<3>().transpose();
  for (std::size_t k = reference; k < records_.size(); ++k) {
    if (k > reference) {
      records_[k].transition.carry(c);
      for (std::size_t v = records_[k].views_begin; v < records_[k].views_end; ++v) {
        views_[v].carry(c);
      }
    }
    records_[k].with_reference = c;
  }
}

STRAPLINE_WIDE_VECTORS void OrientationSmoother::run_backward(
    std::optional<std::size_t> reference) {
  ErrorVector lambda = ErrorVector::Zero();
  ErrorMatrix information = ErrorMatrix::Zero();
  ThreeErrors before = ThreeErrors::Zero();  // the reference's smoothed tilt, by the state here
  for (std::size_t k = records_.size(); k-- > 0;) {
    EpochRecord& here = records_[k];
    here.motion = corrected(here, lambda);
    const Eigen::Matrix<double, error_index::kSize, 3> theta = here.covariance.leftCols<3>();
    const auto seen = information.lazyProduct(theta).eval();
    if (reference && k > *reference) {
      here.with_reference.leftCols<3>() -= here.with_reference.lazyProduct(seen).eval();
    } else if (reference) {
      if (k == *reference) before = ThreeErrors::Identity() - seen.transpose();
      here.with_reference.leftCols<3>() = before.lazyProduct(theta);
    }
    here.covariance.topLeftCorner<3, 3>() -= theta.transpose().lazyProduct(seen);
    if (k == 0) break;
    step_back(here, views_, lambda);
    step_back(here, views_, information);
    step_back(here, views_, before);
  }
}

OrientationSeries OrientationSmoother::smooth(const InertialSeries& series,
                                              std::optional<double> reference_s) {
  if (series.size() < 2) return empty_result(series);
  OrientationSeries out = unset_result(series);
  out.tilt_covariance.resize(3, series.size());
  // The beginning once on its own: started from one reading, the filter is far off where the
  // recording begins in the middle of a movement, and linearised there.
  OrientationFilter beginning(params_);
  run_forward(series, samples_within(series, kStartSpan), beginning);
  const MotionState start = smoothed_start();
  MotionState plain;  // the sensor's priors stay what they are
  plain.q_world_from_sensor = start.q_world_from_sensor;
  plain.velocity = start.velocity;
  plain.position = start.position;
  OrientationFilter again(params_);
  again.start_at(plain, params_.start_tilt_sd);
  run_forward(series, series.size(), again);
  std::optional<std::size_t> reference;
  if (reference_s) {
    reference = record_at(series, *reference_s);
    carry_reference(*reference);
    out.tilt_with_reference.resize(4, series.size());
  }
  run_backward(reference);
  if (reference) out.reference_tilt = tilt_covariance(records_[*reference]);
  out.acc_bias_covariance = offset_covariance(again);

  for (std::size_t k = 0; k + 1 < records_.size(); ++k) {
    fill_between(series, records_[k], records_[k + 1], params_, out);
    out.gyr_bias += records_[k + 1].motion.gyr_bias;
  }
  carry_on(series, records_.back(), params_, out);
  if (records_.size() > 1) out.gyr_bias /= static_cast<double>(records_.size() - 1);
  return out;
}

OrientationSeries smoothed_orientation(const InertialSeries& series,
                                       const OrientationParams& params) {
  return OrientationSmoother(params).smooth(series);
}

}  // namespace strapline::dsp
