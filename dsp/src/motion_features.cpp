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

/// Rows: the sensor's up; the turning rate about the vertical, rad/s; the vertical velocity, m/s.
using Signals = Eigen::Matrix<double, 5, Eigen::Dynamic>;

Signals signals_on_grid(const GridMotion& motion, double step_s, Index first, Index count) {
  Signals out = Signals::Zero(5, count);
  const auto& turns = motion.q_world_from_sensor;
  Quaterniond q = turns[static_cast<std::size_t>(first)];
  for (Index i = 0; i < count; ++i) {
    const auto at = static_cast<std::size_t>(first + i);
    const bool known = motion.known[at] != 0;
    if (known) {
      // A turn over a gap is not known, nor how fast the strap rose or fell in it.
      const bool follows = i > 0 && motion.known[at - 1] != 0;
      if (follows) out(3, i) = log_rotation(turns[at] * q.conjugate()).dot(world_up()) / step_s;
      out(4, i) = motion.vertical_velocity[first + i];
      q = turns[at];
    }
    out.block<3, 1>(0, i) = q.conjugate() * world_up();
  }
  return out;
}

VectorXd every(const VectorXd& x, Index stride) {
  return VectorXd::NullaryExpr((x.size() + stride - 1) / stride,
                               [&](Index i) { return x[i * stride]; });
}

}  // namespace

MotionFeatures motion_features(const GridMotion& motion, const VectorXd& t, const Interval& within,
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
  const Signals signals = signals_on_grid(motion, 1.0 / grid_hz, first, count);
  out.value.resize(5, (count + stride - 1) / stride);
  for (Index row = 0; row < 5; ++row) {
    VectorXd x =
        every(smooth_lowpass(signals.row(row).transpose(), params.lowpass_hz, grid_hz), stride);
    if (row >= 3) x = integral(x, rate_hz);
    if (row == 4) x = params.radian_per_m * (x - smooth_lowpass(x, params.highpass_hz, rate_hz));
    out.value.row(row) = x.transpose();
  }
  return out;
}

}  // namespace strapline::dsp
