#include "trace_error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "strapline/dsp/joint_motion.hpp"

namespace strapline::cli::reference {

double at(const Trace& trace, double t) {
  const double* first = trace.t.data();
  const auto i =
      static_cast<Eigen::Index>(std::lower_bound(first, first + trace.t.size(), t) - first);
  if (i < trace.t.size() && trace.t[i] == t) return trace.y[i];
  if (i <= 0 || i >= trace.t.size()) return std::numeric_limits<double>::quiet_NaN();
  const double part = (t - trace.t[i - 1]) / (trace.t[i] - trace.t[i - 1]);
  return (1.0 - part) * trace.y[i - 1] + part * trace.y[i];
}

TraceError trace_error(const Trace& ours, const Eigen::VectorXd& u, const Trace& truth,
                       double shift_s) {
  const Trace spread{ours.t, u};
  std::vector<double> x, y, stated;
  for (Eigen::Index i = 0; i < truth.t.size(); ++i) {
    const double estimate = at(ours, truth.t[i] + shift_s);
    if (!std::isfinite(estimate) || !std::isfinite(truth.y[i])) continue;
    x.push_back(estimate);
    y.push_back(truth.y[i]);
    stated.push_back(at(spread, truth.t[i] + shift_s));
  }
  TraceError error;
  error.n = static_cast<int>(x.size());
  if (x.size() < 2) return error;
  const auto n = static_cast<Eigen::Index>(x.size());
  Eigen::VectorXd a = Eigen::Map<Eigen::VectorXd>(x.data(), n);
  Eigen::VectorXd b = Eigen::Map<Eigen::VectorXd>(y.data(), n);
  a.array() -= a.mean();
  b.array() -= b.mean();
  error.rmse = std::sqrt((a - b).squaredNorm() / static_cast<double>(n));
  error.correlation = a.dot(b) / std::sqrt(a.squaredNorm() * b.squaredNorm());
  const Eigen::VectorXd limit = 1.96 * Eigen::Map<Eigen::VectorXd>(stated.data(), n);
  error.coverage95 = static_cast<double>(((a - b).cwiseAbs().array() <= limit.array()).count()) /
                     static_cast<double>(n);
  return error;
}

double best_shift(const Trace& ours, const Trace& truth) {
  double best = 0.0, least = std::numeric_limits<double>::infinity();
  for (int ms = -100; ms <= 100; ++ms) {
    const double rmse = trace_error(ours, ours.y, truth, 0.001 * ms).rmse;
    if (rmse < least) {
      least = rmse;
      best = 0.001 * ms;
    }
  }
  return best;
}

double excursion_sign(const Trace& trace) {
  std::vector<double> start, all;
  for (Eigen::Index i = 0; i < trace.t.size(); ++i) {
    if (!std::isfinite(trace.y[i])) continue;
    all.push_back(trace.y[i]);
    if (trace.t[i] <= trace.t[0] + dsp::JointParams{}.start_posture) start.push_back(trace.y[i]);
  }
  if (start.empty()) return 1.0;
  const auto middle = start.begin() + static_cast<std::ptrdiff_t>(start.size() / 2);
  std::nth_element(start.begin(), middle, start.end());
  const auto [least, most] = std::minmax_element(all.begin(), all.end());
  return *most - *middle >= *middle - *least ? 1.0 : -1.0;
}

}  // namespace strapline::cli::reference
