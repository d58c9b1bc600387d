#include "strapline/dsp/stuck_readings.hpp"

#include <cmath>

#include "strapline/dsp/calibration.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kStuckFor = 0.1;     // s
constexpr int kStuckReadings = 5;     // at the least, of slow parts
constexpr double kTurns = 0.05;       // rad/s: gravity turns by 0.05 m/s² in the time
constexpr double kAccelerates = 1.0;  // m/s² off gravity's: more than any offset

bool moves(const Vector3d& gyr, const Vector3d& acc) {
  return gyr.norm() > kTurns || std::abs(acc.norm() - kStandardGravity) > kAccelerates;
}

/// Keeps what `kept` lists, in order.
void keep(const std::vector<Index>& kept, InertialSeries& series) {
  InertialSeries out;
  const auto n = static_cast<Index>(kept.size());
  out.t.resize(n);
  out.acc.resize(3, n);
  out.gyr.resize(3, n);
  out.flags.resize(kept.size(), kSampleGood);
  for (Index k = 0; k < n; ++k) {
    const Index i = kept[static_cast<std::size_t>(k)];
    out.t[k] = series.t[i];
    out.acc.col(k) = series.acc.col(i);
    out.gyr.col(k) = series.gyr.col(i);
    unsigned flag = 0;
    if (!series.flags.empty()) flag = series.flags[static_cast<std::size_t>(i)];
    const bool gap = k > 0 && kept[static_cast<std::size_t>(k - 1)] + 1 != i;
    if (gap) flag |= kAfterGap;
    out.flags[static_cast<std::size_t>(k)] = static_cast<std::uint8_t>(flag);
  }
  series = std::move(out);
}

}  // namespace

bool StuckDetector::update(double t_s, const Vector3d& gyr, const Vector3d& acc) {
  const bool same = same_ > 0 && gyr == gyr_ && acc == acc_;
  same_ = same ? same_ + 1 : 1;
  if (!same) since_s_ = t_s;
  gyr_ = gyr;
  acc_ = acc;
  return same_ > kStuckReadings && t_s - since_s_ >= kStuckFor && moves(gyr, acc);
}

std::vector<Interval> remove_stuck_readings(InertialSeries& series) {
  std::vector<Interval> stuck;
  std::vector<Index> kept;
  StuckDetector detector;
  for (Index i = 0; i < series.size(); ++i) {
    const bool repeats = detector.update(series.t[i], series.gyr.col(i), series.acc.col(i));
    if (!repeats) {
      kept.push_back(i);
      continue;
    }
    const double since = detector.since_s();
    if (stuck.empty() || stuck.back().from_s != since) stuck.push_back({since, since});
    stuck.back().to_s = series.t[i];
    while (!kept.empty() && series.t[kept.back()] > since) kept.pop_back();
  }
  if (!stuck.empty()) keep(kept, series);
  return stuck;
}

}  // namespace strapline::dsp
