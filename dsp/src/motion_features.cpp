#include "strapline/dsp/motion_features.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/butterworth.hpp"
#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// Rows: the sensor's up; the turning rate about the vertical, rad/s; the vertical acceleration.
using Signals = Eigen::Matrix<double, 5, Eigen::Dynamic>;

Signals signals_on_grid(const InertialSeries& series, const GridMotion& motion, const VectorXd& t,
                        Index first, Index count) {
  Signals out = Signals::Zero(5, count);
  Index after = 0;
  Quaterniond q = motion.q_world_from_sensor[static_cast<std::size_t>(first)];
  for (Index i = 0; i < count; ++i) {
    const auto at = static_cast<std::size_t>(first + i);
    const bool known = motion.known[at] != 0;
    if (known) q = motion.q_world_from_sensor[at];
    out.block<3, 1>(0, i) = q.conjugate() * world_up();
    if (!known) continue;
    const double now = t[first + i];
    while (after + 1 < series.size() && series.t[after] < now) ++after;
    const Index before = std::max<Index>(0, after - 1);
    const double length = series.t[after] - series.t[before];
    const double part =
        length > 0.0 ? std::clamp((now - series.t[before]) / length, 0.0, 1.0) : 0.0;
    const Vector3d gyr = (1.0 - part) * series.gyr.col(before) + part * series.gyr.col(after);
    const Vector3d acc = (1.0 - part) * series.acc.col(before) + part * series.acc.col(after);
    out(3, i) = (q * gyr).dot(world_up());
    out(4, i) = (q * acc).dot(world_up());
  }
  return out;
}

VectorXd every(const VectorXd& x, Index stride) {
  return VectorXd::NullaryExpr((x.size() + stride - 1) / stride,
                               [&](Index i) { return x[i * stride]; });
}

/// Integral without what is slower than the corner: twice the lag-free high-pass.
VectorXd integral(const VectorXd& rate, double corner_hz, double rate_hz) {
  VectorXd sum(rate.size());
  const double mean = rate.mean();
  double total = 0.0;
  for (Index i = 0; i < rate.size(); ++i) {
    const double before = i == 0 ? rate[0] : rate[i - 1];
    total += (0.5 * (before + rate[i]) - mean) / rate_hz;
    sum[i] = total;
  }
  return sum - smooth_lowpass(sum, corner_hz, rate_hz);
}

}  // namespace

MotionFeatures motion_features(const InertialSeries& series, const GridMotion& motion,
                               const VectorXd& t, const Interval& within,
                               const FeatureParams& params) {
  MotionFeatures out;
  if (t.size() < 2) return out;
  const double grid_hz = 1.0 / (t[1] - t[0]);
  const Index first = nearest_index(t, within.from_s);
  const Index count = nearest_index(t, within.to_s) - first + 1;
  const auto stride = static_cast<Index>(std::max(1.0, std::round(grid_hz / params.rate_hz)));
  const double rate_hz = grid_hz / static_cast<double>(stride);
  out.from_s = t[first];
  out.step_s = 1.0 / rate_hz;
  const Signals signals = signals_on_grid(series, motion, t, first, count);
  out.value.resize(5, (count + stride - 1) / stride);
  for (Index row = 0; row < 5; ++row) {
    VectorXd x =
        every(smooth_lowpass(signals.row(row).transpose(), params.lowpass_hz, grid_hz), stride);
    if (row >= 3) x = integral(x, params.highpass_hz, rate_hz);
    if (row == 4) x = params.radian_per_m * integral(x, params.highpass_hz, rate_hz);
    out.value.row(row) = x.transpose();
  }
  return out;
}

}  // namespace strapline::dsp
