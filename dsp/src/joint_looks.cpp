#include "joint_looks.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kLongestGap = 0.25;  // s

/// Take strap `from` over to the times `t`; clears `known` within its gaps.
StrapOnPair taken_over(const WornStrap& from, const VectorXd& t, std::vector<char>& known) {
  const VectorXd& own = from.orientation.t;
  const Index n = t.size(), last = own.size() - 1;
  StrapOnPair out{{}, Eigen::Matrix3Xd(3, n), Eigen::Matrix3Xd(3, n), VectorXd(n), VectorXd(n)};
  Index right = 1;
  for (Index i = 0; i < n; ++i) {
    while (right < last && own[right] < t[i]) ++right;
    const Index left = right - 1;
    const double span = own[right] - own[left];
    const double part = std::clamp((t[i] - own[left]) / span, 0.0, 1.0);
    const auto mixed = [&](const Eigen::Matrix3Xd& x) -> Vector3d {
      return (1.0 - part) * x.col(left) + part * x.col(right);
    };
    const auto& q = from.orientation.q_world_from_sensor;
    out.q_world_from_sensor.push_back(
        q[static_cast<std::size_t>(left)].slerp(part, q[static_cast<std::size_t>(right)]));
    out.gyr.col(i) = mixed(from.readings.gyr) - from.orientation.gyr_bias;
    out.acc.col(i) = mixed(from.readings.acc);
    const auto between = [&](const VectorXd& x) {
      return (1.0 - part) * x[left] + part * x[right];
    };
    out.tilt_u[i] = between(from.orientation.tilt_u);
    out.heading_u[i] = between(from.orientation.heading_u);
    if (span > kLongestGap && part > 0.0 && part < 1.0) known[static_cast<std::size_t>(i)] = 0;
  }
  return out;
}

StrapLook look(const StrapOnPair& strap, const VectorXd& t, Index from, Index to) {
  const auto turn = [&](Index i) {
    return strap.q_world_from_sensor[static_cast<std::size_t>(i)].toRotationMatrix();
  };
  StrapLook out;
  const double length = t[to] - t[from];
  Vector3d before = turn(from) * strap.acc.col(from);
  for (Index i = from + 1; i <= to; ++i) {
    const Vector3d now = turn(i) * strap.acc.col(i);
    out.force += 0.5 * (t[i] - t[i - 1]) / length * (before + now);
    before = now;
  }
  // d/dt (R [ω]×) = R ([ω]×² + [ω̇]×): the mean of what a lever adds needs no angular acceleration.
  out.lever =
      (turn(to) * skew(strap.gyr.col(to)) - turn(from) * skew(strap.gyr.col(from))) / length;
  out.q = turn((from + to) / 2);
  return out;
}

}  // namespace

StrapPair pair_up(const WornStrap& a, const WornStrap& b) {
  StrapPair pair;
  const VectorXd &ta = a.orientation.t, &tb = b.orientation.t;
  if (ta.size() < 2 || tb.size() < 2) return pair;
  const double from = std::max(ta[0], tb[0]), to = std::min(ta[ta.size() - 1], tb[tb.size() - 1]);
  const auto* first = std::lower_bound(ta.data(), ta.data() + ta.size(), from);
  const auto* end = std::upper_bound(first, ta.data() + ta.size(), to);
  pair.t = Eigen::Map<const VectorXd>(first, end - first);
  pair.known.assign(static_cast<std::size_t>(pair.t.size()), 1);
  pair.a = taken_over(a, pair.t, pair.known);
  pair.b = taken_over(b, pair.t, pair.known);
  return pair;
}

std::vector<JointLook> looks_at_joint(const StrapPair& pair, double step_s) {
  std::vector<JointLook> looks;
  Index from = 0;
  for (Index i = 1; i < pair.t.size(); ++i) {
    const bool gap =
        pair.known[static_cast<std::size_t>(i)] == 0 || pair.t[i] - pair.t[i - 1] > kLongestGap;
    if (gap) {
      from = i;
      continue;
    }
    if (pair.t[i] - pair.t[from] < step_s - 1e-6) continue;
    const Index middle = (from + i) / 2;
    looks.push_back(
        {pair.t[middle], look(pair.a, pair.t, from, i), look(pair.b, pair.t, from, i),
         std::hypot(pair.a.tilt_u[middle], pair.b.tilt_u[middle]),
         std::pow(pair.a.heading_u[middle], 2) + std::pow(pair.b.heading_u[middle], 2)});
    from = i;
  }
  return looks;
}

}  // namespace strapline::dsp
