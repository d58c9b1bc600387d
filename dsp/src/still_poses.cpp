#include <algorithm>
#include <cmath>

#include "strapline/dsp/calibration.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Running sums of one triad over a window that slides along the series.
class SlidingSpread {
 public:
  explicit SlidingSpread(const Eigen::Matrix3Xd& x) : x_(x), centre_(x.col(0)) {}

  void move_to(Index from, Index to) {  // [from, to)
    for (; to_ < to; ++to_) add(to_, 1.0);
    for (; from_ < from; ++from_) add(from_, -1.0);
  }
  /// Greatest standard deviation of the three axes.
  [[nodiscard]] double sd() const {
    const auto n = static_cast<double>(to_ - from_);
    const Vector3d mean = sum_ / n;
    const Vector3d variance = square_ / n - mean.cwiseAbs2();
    return std::sqrt(std::max(0.0, variance.maxCoeff()));
  }

 private:
  void add(Index i, double sign) {
    const Vector3d v = x_.col(i) - centre_;  // keeps the squares small against rounding
    sum_ += sign * v;
    square_ += sign * v.cwiseAbs2();
  }
  const Eigen::Matrix3Xd& x_;
  Vector3d centre_, sum_ = Vector3d::Zero(), square_ = Vector3d::Zero();
  Index from_ = 0, to_ = 0;
};

/// Samples that lie in a still window.
std::vector<char> still_samples(const InertialSeries& s, const CalibrationOptions& options) {
  const Index n = s.size();
  std::vector<char> still(static_cast<std::size_t>(n), 0);
  SlidingSpread acc(s.acc), gyr(s.gyr);
  constexpr Index kFewest = 8;
  Index marked = 0;
  for (Index from = 0, to = 0; from < n; ++from) {
    while (to < n && s.t[to] - s.t[from] < options.window_s) ++to;
    if (to >= n) break;
    acc.move_to(from, to);
    gyr.move_to(from, to);
    if (to - from < kFewest || acc.sd() > options.still_acc_sd || gyr.sd() > options.still_gyr_sd)
      continue;
    for (marked = std::max(marked, from); marked < to; ++marked) {
      const auto i = static_cast<std::size_t>(marked);
      still[i] = s.flags.empty() || s.flags[i] == kSampleGood ? 1 : 0;
    }
  }
  return still;
}

StillPose pose_of(const InertialSeries& s, Index from, Index to) {
  const Index n = to - from;
  StillPose pose;
  pose.when = {s.t[from], s.t[to - 1]};
  pose.n = static_cast<int>(n);
  pose.acc_mean = s.acc.middleCols(from, n).rowwise().mean();
  pose.gyr_mean = s.gyr.middleCols(from, n).rowwise().mean();
  const Eigen::Matrix3Xd off = s.gyr.middleCols(from, n).colwise() - pose.gyr_mean;
  pose.gyr_sd = std::sqrt(off.squaredNorm() / (3.0 * static_cast<double>(n)));
  return pose;
}

/// The stretch less its edges, where a turn's slow beginning and end still pass for stillness.
void add_pose(const InertialSeries& s, Index from, Index to, const CalibrationOptions& options,
              std::vector<StillPose>& poses) {
  const double first = s.t[from] + options.edge_s, last = s.t[to - 1] - options.edge_s;
  while (from < to && s.t[from] < first) ++from;
  while (to > from && s.t[to - 1] > last) --to;
  if (to - from < 2 || s.t[to - 1] - s.t[from] < options.least_pose_s) return;
  poses.push_back(pose_of(s, from, to));
}

/// A steady slow turn has little spread too; its mean rate gives it away.
void drop_turning(std::vector<StillPose>& poses, double most) {
  if (poses.empty()) return;
  Vector3d usual;
  for (Index axis = 0; axis < 3; ++axis) {
    std::vector<double> rates;
    for (const StillPose& pose : poses) rates.push_back(pose.gyr_mean[axis]);
    usual[axis] = median_of(std::move(rates));
  }
  std::erase_if(poses, [&](const StillPose& p) { return (p.gyr_mean - usual).norm() > most; });
}

}  // namespace

std::vector<StillPose> still_poses(const InertialSeries& series,
                                   const CalibrationOptions& options) {
  std::vector<StillPose> poses;
  if (series.size() == 0) return poses;
  const std::vector<char> still = still_samples(series, options);
  const auto is_still = [&](Index i) { return still[static_cast<std::size_t>(i)] != 0; };
  for (Index from = 0; from < series.size(); ++from) {
    if (!is_still(from)) continue;
    Index to = from + 1;
    while (to < series.size() && is_still(to)) ++to;
    add_pose(series, from, to, options, poses);
    from = to;
  }
  drop_turning(poses, options.still_rate);
  return poses;
}

}  // namespace strapline::dsp
