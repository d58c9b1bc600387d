#include "live_motion.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::dsp {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using Eigen::VectorXd;

namespace {

constexpr double kLongestGap = 0.25;  // s, as on_grid
constexpr double kRound = 1e-9;       // s
constexpr double kReserve = 60.0;     // s, that the grid begins with

}  // namespace

void LiveGrid::reach(double time_s) {
  const double from = empty() ? std::floor(time_s * kLiveRate) / kLiveRate : t_[0];
  if (!empty() && time_s < t_[t_.size() - 1]) return;
  const double length = std::max(kReserve, 2.0 * (time_s - from));
  t_ = uniform_times(from, from + length, kLiveRate);
}

Index LiveGrid::at(double time_s) const {
  return static_cast<Index>(std::floor((time_s - t_[0]) * kLiveRate + kRound));
}

void LiveMotion::update(double t_s, const Vector3d& gyr, const Vector3d& acc, bool trusted,
                        LiveGrid& grid) {
  if (started() && t_s <= newest_s_) return;
  const bool first = !started();
  const double before = first ? t_s : newest_s_;
  filter_.update(t_s - before, gyr, acc, trusted);
  newest_s_ = t_s;
  const Quaterniond q = filter_.orientation();
  grid.reach(t_s);
  const Index last = grid.at(t_s);
  const double span = t_s - before;
  while (filled() <= last) {
    const double at_s = grid.t()[filled()];
    const bool inside = !first && at_s >= before - kRound && span <= kLongestGap;
    const double part = span > 0.0 ? std::clamp((at_s - before) / span, 0.0, 1.0) : 1.0;
    push(inside ? last_q_.slerp(part, q) : q, inside);
  }
  last_q_ = q;
}

void LiveMotion::wait_until(Index last) {
  while (filled() <= last) push(last_q_, false);
}

void LiveMotion::push(const Quaterniond& q, bool known) {
  motion_.q_world_from_sensor.push_back(q);
  motion_.known.push_back(known ? 1 : 0);
}

GridMotion LiveMotion::stretch(Index from, Index to) const {
  GridMotion out;
  const auto& q = motion_.q_world_from_sensor;
  out.q_world_from_sensor.assign(q.begin() + from, q.begin() + to);
  out.known.assign(motion_.known.begin() + from, motion_.known.begin() + to);
  // What a live angle is uncertain by is not told; it must be there to be asked for.
  out.tilt_u = out.heading_u = out.vertical_velocity = VectorXd::Zero(to - from);
  out.tilt_covariance = Eigen::Matrix3Xd::Zero(3, to - from);
  return out;
}

}  // namespace strapline::dsp
