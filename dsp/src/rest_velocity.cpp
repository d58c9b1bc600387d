#include "rest_velocity.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "vertical_velocity.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Figures of ours. A slow part rep turns a pelvis by 0.05 rad/s and more.
constexpr double kTurns = 0.025;    // rad/s, at most, at rest
constexpr double kShakes = 0.12;    // m/s², from the least to the most, at rest
constexpr double kRest = 0.3;       // s, at least
constexpr double kFarApart = 15.0;  // s

/// n, rad/s, how fast the strap turns at the grid's times; infinite where it is not known.
VectorXd turn_rates(const InertialSeries& series, const PreparedStrap& strap, const VectorXd& t) {
  VectorXd rates = VectorXd::Constant(t.size(), std::numeric_limits<double>::infinity());
  Index right = 0;
  for (Index i = 0; i < t.size(); ++i) {
    while (right < series.size() - 1 && series.t[right] < t[i]) ++right;
    if (strap.motion.known[static_cast<std::size_t>(i)] == 0) continue;
    rates[i] = (series.gyr.col(right) - strap.gyr_bias).norm();
  }
  return rates;
}

/// Where the strap rests, indices of the grid.
std::vector<Index> rests_in(const VectorXd& up, const VectorXd& rates, double step_s) {
  const auto half = static_cast<Index>(std::lround(0.5 * kRest / step_s));
  const Index width = 2 * half + 1;
  std::vector<Index> rests;
  for (Index i = half; i + half < up.size(); ++i) {
    if (rates.segment(i - half, width).maxCoeff() >= kTurns) continue;
    const auto here = up.segment(i - half, width);
    if (here.maxCoeff() - here.minCoeff() < kShakes) rests.push_back(i);
  }
  return rests;
}

/// Integrates `up` from rest `from` to rest `to`, into `v`.
void integrate(const VectorXd& up, Index from, Index to, double step_s, VectorXd& v) {
  double sum = 0.0;
  v[from] = 0.0;
  for (Index i = from + 1; i <= to; ++i) {
    sum += 0.5 * step_s * (up[i - 1] + up[i]);
    v[i] = sum;
  }
  const double drift = sum / static_cast<double>(to - from);
  for (Index i = from + 1; i <= to; ++i) v[i] -= drift * static_cast<double>(i - from);
}

}  // namespace

VectorXd velocity_between_rests(const InertialSeries& series, const PreparedStrap& strap,
                                const VectorXd& t) {
  VectorXd v = strap.motion.vertical_velocity;
  if (t.size() < 2 || series.size() < 2) return v;
  const double step_s = t[1] - t[0];
  const VectorXd up = vertical_acceleration(series, strap, t).row(0);
  const std::vector<Index> rests = rests_in(up, turn_rates(series, strap, t), step_s);
  for (std::size_t k = 1; k < rests.size(); ++k) {
    const Index from = rests[k - 1], to = rests[k];
    const auto known = strap.motion.known.begin();
    const bool gap = std::find(known + from, known + to, 0) != known + to;
    if (!gap && static_cast<double>(to - from) * step_s <= kFarApart) {
      integrate(up, from, to, step_s, v);
    }
  }
  return v;
}

}  // namespace strapline::dsp
