#include "strapline/dsp/live_counter.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

/// Angle between unit vectors, rad; exact for small angles too, where acos is not.
double angle_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

}  // namespace

std::optional<LiveRep> LiveCounter::update(double t_s, const Eigen::Vector3d& gyr,
                                           const Eigen::Vector3d& acc, bool trusted) {
  const double dt = filter_.state().started ? t_s - state_.last_s : 0.0;
  state_.last_s = t_s;
  filter_.update(dt, gyr, acc, trusted);
  state_.turned += gyr.norm() * dt;
  const Eigen::Vector3d up = filter_.orientation().conjugate() * world_up();
  if (!state_.home_up) {
    // Until a set is begun, the first rest is the start posture.
    if (!filter_.at_rest()) return std::nullopt;
    state_.home_up = up;
    state_.left_home_s = t_s;
  }
  state_.angle = angle_between(*state_.home_up, up);
  if (state_.away) return follow_away(t_s);
  follow_home(t_s);
  return std::nullopt;
}

void LiveCounter::follow_home(double t_s) {
  state_.valley = std::min(state_.valley, state_.angle);
  if (state_.angle < state_.valley + params_.onset) state_.left_home_s = t_s;
  const double gate = std::max(0.5 * params_.least_range, params_.away_share * usual_range());
  if (state_.angle < state_.valley + gate) return;
  state_.away = true;
  state_.begun_at = state_.valley;
  state_.peak = state_.valley = state_.angle;
  state_.peak_s = state_.valley_s = t_s;
}

std::optional<LiveRep> LiveCounter::follow_away(double t_s) {
  if (state_.angle > state_.peak) {
    state_.peak = state_.valley = state_.angle;
    state_.peak_s = state_.valley_s = t_s;
  } else if (state_.angle < state_.valley) {
    state_.valley = state_.angle;
    state_.valley_s = t_s;
  }
  const double height = state_.peak - state_.begun_at;
  if (state_.angle < state_.begun_at + params_.away_share * height) {
    auto rep = close(t_s);
    state_.away = false;
    state_.left_home_s = t_s;
    return rep;
  }
  // Reps without standing up fully in between: down by half, and up again.
  const bool dipped = state_.valley < state_.begun_at + params_.split_share * height;
  if (!dipped || state_.angle < state_.valley + params_.rise_share * height) return std::nullopt;
  auto rep = close(state_.valley_s);
  state_.begun_at = state_.valley;
  state_.left_home_s = state_.valley_s;
  state_.peak = state_.valley = state_.angle;
  state_.peak_s = state_.valley_s = t_s;
  return rep;
}

std::optional<LiveRep> LiveCounter::close(double end_s) {
  LiveRep rep{state_.left_home_s, state_.peak_s, end_s, state_.peak - state_.begun_at, false};
  if (rep.range < params_.least_range) return std::nullopt;
  if (end_s - rep.start_s > params_.longest_rep_s) return std::nullopt;
  auto& ranges = state_.ranges;
  ranges.insert(std::upper_bound(ranges.begin(), ranges.end(), rep.range), rep.range);
  rep.part = is_part(rep.range);
  return rep;
}

double LiveCounter::usual_range() const {
  if (state_.ranges.empty()) return 0.0;
  const std::size_t middle = state_.ranges.size() / 2;
  if (state_.ranges.size() % 2 == 1) return state_.ranges[middle];
  return 0.5 * (state_.ranges[middle - 1] + state_.ranges[middle]);
}

bool LiveCounter::is_part(double range) const { return range < params_.part_share * usual_range(); }

int LiveCounter::part_reps() const {
  return static_cast<int>(std::count_if(state_.ranges.begin(), state_.ranges.end(),
                                        [this](double range) { return is_part(range); }));
}

int LiveCounter::full_reps() const { return static_cast<int>(state_.ranges.size()) - part_reps(); }

void LiveCounter::begin_set() {
  state_.ranges.clear();
  state_.away = false;
  state_.angle = state_.valley = 0.0;
  state_.left_home_s = state_.last_s;
  if (filter_.state().started && (filter_.at_rest() || !state_.home_up)) {
    state_.home_up = filter_.orientation().conjugate() * world_up();
  }
}

LiveCounter::State LiveCounter::state() const {
  State state = state_;
  state.orientation = filter_.state();
  return state;
}

void LiveCounter::restore(const State& state) {
  state_ = state;
  filter_.restore(state.orientation);
}

}  // namespace strapline::dsp
