#include "strapline/dsp/time_grid.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::dsp {

using Eigen::Index;
using Eigen::VectorXd;

VectorXd uniform_times(double from_s, double to_s, double rate_hz) {
  const auto n = static_cast<Index>(std::floor((to_s - from_s) * rate_hz + 1e-6)) + 1;
  return VectorXd::LinSpaced(n, from_s, from_s + static_cast<double>(n - 1) / rate_hz);
}

GridMotion on_grid(const OrientationSeries& series, const VectorXd& t, double longest_gap_s) {
  const Index n = t.size();
  const Index m = series.t.size();
  GridMotion out;
  out.q_world_from_sensor.assign(static_cast<std::size_t>(n), Eigen::Quaterniond::Identity());
  out.tilt_u = VectorXd::Zero(n);
  out.heading_u = VectorXd::Zero(n);
  out.vertical_velocity = VectorXd::Zero(n);
  const bool both = series.tilt_covariance.cols() == m;
  out.tilt_covariance = Eigen::Matrix3Xd::Zero(3, n);
  const bool referred = series.tilt_with_reference.cols() == m;
  if (referred) out.tilt_with_reference = Eigen::Matrix4Xd::Zero(4, n);
  out.known.assign(static_cast<std::size_t>(n), 0);
  Index right = 1;
  for (Index i = 0; i < n && m > 1; ++i) {
    while (right < m - 1 && series.t[right] < t[i]) ++right;
    const Index left = right - 1;
    const double span = series.t[right] - series.t[left];
    const double part = std::clamp((t[i] - series.t[left]) / span, 0.0, 1.0);
    const auto l = static_cast<std::size_t>(left);
    const auto r = static_cast<std::size_t>(right);
    const auto at = static_cast<std::size_t>(i);
    out.q_world_from_sensor[at] =
        series.q_world_from_sensor[l].slerp(part, series.q_world_from_sensor[r]);
    out.tilt_u[i] = (1.0 - part) * series.tilt_u[left] + part * series.tilt_u[right];
    if (both) {
      out.tilt_covariance.col(i) = (1.0 - part) * series.tilt_covariance.col(left) +
                                   part * series.tilt_covariance.col(right);
    }
    if (referred) {
      out.tilt_with_reference.col(i) = (1.0 - part) * series.tilt_with_reference.col(left) +
                                       part * series.tilt_with_reference.col(right);
    }
    out.heading_u[i] = (1.0 - part) * series.heading_u[left] + part * series.heading_u[right];
    out.vertical_velocity[i] =
        (1.0 - part) * series.vertical_velocity[left] + part * series.vertical_velocity[right];
    const bool inside = t[i] >= series.t[0] - 0.02 && t[i] <= series.t[m - 1] + 0.02;
    out.known[at] = inside && span <= longest_gap_s ? 1 : 0;
  }
  return out;
}

Index nearest_index(const VectorXd& t, double time_s) {
  const double rate = t.size() > 1 ? 1.0 / (t[1] - t[0]) : 1.0;
  const auto i = static_cast<Index>(std::llround((time_s - t[0]) * rate));
  return std::clamp<Index>(i, 0, t.size() - 1);
}

VectorXd derivative(const VectorXd& x, double rate_hz) {
  const Index n = x.size();
  VectorXd d = VectorXd::Zero(n);
  if (n < 2) return d;
  for (Index i = 1; i + 1 < n; ++i) d[i] = 0.5 * (x[i + 1] - x[i - 1]) * rate_hz;
  d[0] = (x[1] - x[0]) * rate_hz;
  d[n - 1] = (x[n - 1] - x[n - 2]) * rate_hz;
  return d;
}

VectorXd integral(const VectorXd& x, double rate_hz) {
  VectorXd sum(x.size());
  double total = 0.0;
  for (Index i = 0; i < x.size(); ++i) {
    total += 0.5 * (x[std::max<Index>(0, i - 1)] + x[i]) / rate_hz;
    sum[i] = total;
  }
  return sum;
}

}  // namespace strapline::dsp
