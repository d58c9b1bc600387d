#include "strongest_turn.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include <Eigen/Eigenvalues>

#include "strapline/dsp/repetition.hpp"
#include "strapline/dsp/rotation.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kPause = RepetitionParams{}.apart;
constexpr double kEndShare = 0.05;  // of the interval, at either end: where the start posture shows

bool known(const GridMotion& motion, Index i) {
  return motion.known[static_cast<std::size_t>(i)] != 0;
}

const Quaterniond& q_at(const GridMotion& motion, Index i) {
  return motion.q_world_from_sensor[static_cast<std::size_t>(i)];
}

/// Grid samples from first to last.
struct Samples {
  Samples(const VectorXd& t, const Interval& within)
      : first(nearest_index(t, within.from_s)), last(nearest_index(t, within.to_s)) {}
  Index first, last;
};

/// Mean orientation by its top eigenvector (Markley 2007).
Quaterniond middle_posture(const GridMotion& motion, const std::vector<Samples>& parts) {
  Eigen::Matrix4d sum = Eigen::Matrix4d::Zero();
  for (const Samples& part : parts) {
    for (Index i = part.first; i <= part.last; ++i) {
      if (!known(motion, i)) continue;
      const Eigen::Vector4d c = q_at(motion, i).coeffs();
      sum += c * c.transpose();
    }
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix4d> solver(sum);
  return Quaterniond(Eigen::Vector4d(solver.eigenvectors().col(3)));
}

double quantile_in(const VectorXd& x, Index first, Index last, double share) {
  std::vector<double> values;
  for (Index i = first; i <= last; ++i) {
    if (std::isfinite(x[i])) values.push_back(x[i]);
  }
  return quantile_of(std::move(values), share);
}

/// Turns the sign so that the angle grows away from where the reps begin and end; returns that
/// level, rad.
double grow_within(VectorXd& angle, const VectorXd& t, const std::vector<Interval>& reps) {
  std::vector<double> ends;
  double above = 0.0, below = 0.0;
  for (const Interval& rep : reps) {
    const Index first = nearest_index(t, rep.from_s);
    const Index last = nearest_index(t, rep.to_s);
    const double home = 0.5 * (angle[first] + angle[last]);
    if (!std::isfinite(home)) continue;
    ends.push_back(home);
    above += quantile_in(angle, first, last, 1.0) - home;
    below += home - quantile_in(angle, first, last, 0.0);
  }
  if (ends.empty()) return 0.0;
  const auto middle = ends.begin() + static_cast<std::ptrdiff_t>(ends.size() / 2);
  std::nth_element(ends.begin(), middle, ends.end());
  if (above >= below) return *middle;
  angle = -angle;
  return -*middle;
}

}  // namespace

TurnAngle strongest_turn(const GridMotion& motion, const VectorXd& t,
                         const std::vector<Interval>& within) {
  std::vector<Samples> parts;
  for (const Interval& part : within) parts.emplace_back(t, part);
  const Quaterniond middle = middle_posture(motion, parts);
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  double count = 0.0;
  for (const Samples& part : parts) {
    for (Index i = part.first; i <= part.last; ++i) {
      if (!known(motion, i)) continue;
      const Vector3d turn = log_rotation(q_at(motion, i) * middle.conjugate());
      scatter += turn * turn.transpose();
      count += 1.0;
    }
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(scatter);
  const Vector3d axis = solver.eigenvectors().col(2);
  TurnAngle result;
  result.energy = solver.eigenvalues()[2] / std::max(1.0, count);
  result.angle = VectorXd::Constant(t.size(), std::numeric_limits<double>::quiet_NaN());
  for (Index i = 0; i < t.size(); ++i) {
    if (known(motion, i)) {
      result.angle[i] = axis.dot(log_rotation(q_at(motion, i) * middle.conjugate()));
    }
  }
  return result;
}

double grow_from_start(VectorXd& angle, const VectorXd& t, const Interval& within) {
  const Index first = nearest_index(t, within.from_s);
  const Index last = nearest_index(t, within.to_s);
  const Index edge =
      std::max<Index>(1, static_cast<Index>(kEndShare * static_cast<double>(last - first)));
  const double low = quantile_in(angle, first, last, 0.05);
  const double high = quantile_in(angle, first, last, 0.95);
  const double ends = 0.5 * (quantile_in(angle, first, std::min(last, first + edge), 0.5) +
                             quantile_in(angle, std::max(first, last - edge), last, 0.5));
  if (std::abs(ends - low) <= std::abs(high - ends)) return low;
  angle = -angle;
  return -high;
}

std::vector<Interval> cluster_zones(const VectorXd& t, const std::vector<Interval>& reps) {
  std::vector<double> lengths;
  for (const Interval& rep : reps) lengths.push_back(rep.length());
  const double pause = kPause * median_of(lengths);
  std::vector<Interval> zones{{t[0], t[t.size() - 1]}};
  for (std::size_t k = 1; k < reps.size(); ++k) {
    if (reps[k].from_s - reps[k - 1].to_s <= pause) continue;
    const double middle = 0.5 * (reps[k - 1].to_s + reps[k].from_s);
    zones.back().to_s = middle;
    zones.push_back({middle, t[t.size() - 1]});
  }
  return zones;
}

VectorXd turn_from_start(const GridMotion& motion, const VectorXd& t,
                         const std::vector<Interval>& reps) {
  VectorXd angle = VectorXd::Constant(t.size(), std::numeric_limits<double>::quiet_NaN());
  Index from = 0;
  for (const Interval& zone : cluster_zones(t, reps)) {
    std::vector<Interval> cluster;
    for (const Interval& rep : reps) {
      if (rep.from_s >= zone.from_s && rep.to_s <= zone.to_s) cluster.push_back(rep);
    }
    if (cluster.empty()) continue;
    const bool last = zone.to_s >= t[t.size() - 1];
    const Index to = last ? t.size() : nearest_index(t, zone.to_s);
    VectorXd own = strongest_turn(motion, t, cluster).angle;
    const double start = grow_within(own, t, cluster);
    angle.segment(from, to - from) = own.segment(from, to - from).array() - start;
    from = to;
  }
  return angle;
}

}  // namespace strapline::dsp
