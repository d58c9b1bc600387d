#include "strapline/dsp/live_counter.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/time_grid.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

/// Angle between unit vectors, rad; exact for small angles too, where acos is not.
double angle_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

constexpr double kMargin = 1.0;      // s, remembered before a rep begins
constexpr double kGridRate = 100.0;  // Hz

/// Linear between the samples.
Eigen::VectorXd resampled(const std::vector<double>& times, const std::vector<double>& values,
                          const Eigen::VectorXd& t) {
  Eigen::VectorXd out(t.size());
  std::size_t after = 0;
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    while (after + 1 < times.size() && times[after] < t[i]) ++after;
    const std::size_t before = after == 0 ? 0 : after - 1;
    const double length = times[after] - times[before];
    const double part = length > 0.0 ? std::clamp((t[i] - times[before]) / length, 0.0, 1.0) : 0.0;
    out[i] = (1.0 - part) * values[before] + part * values[after];
  }
  return out;
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
  remember(t_s);
  if (state_.closing) return follow_closing(t_s);
  if (state_.away) return follow_away(t_s);
  follow_home(t_s);
  return std::nullopt;
}

/// Keeps what the open excursion's borders are found in.
void LiveCounter::remember(double t_s) {
  auto& times = state_.times;
  const double from = std::min(state_.left_home_s, t_s) - kMargin;
  if (!times.empty() && times.front() < from - params_.longest_rep_s) {
    times.clear();
    state_.angles.clear();
  }
  times.push_back(t_s);
  state_.angles.push_back(state_.angle);
  if (state_.away || times.front() > from - kMargin) return;
  const auto old = std::lower_bound(times.begin(), times.end(), from) - times.begin();
  times.erase(times.begin(), times.begin() + old);
  state_.angles.erase(state_.angles.begin(), state_.angles.begin() + old);
}

/// rad/s, of the angle over the last few samples.
double LiveCounter::rate() const {
  const auto& times = state_.times;
  const auto at = std::upper_bound(times.begin(), times.end(),
                                   times.back() - params_.rate_over_s * (1.0 + 1e-9));
  const auto before = at == times.begin() ? 0 : at - times.begin() - 1;
  const double length = times.back() - times[static_cast<std::size_t>(before)];
  if (length <= 0.0) return 0.0;
  return (state_.angles.back() - state_.angles[static_cast<std::size_t>(before)]) / length;
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
    state_.back_rate = 0.0;
  } else if (state_.angle < state_.valley) {
    state_.valley = state_.angle;
    state_.valley_s = t_s;
  }
  state_.back_rate = std::max(state_.back_rate, -rate());
  const double height = state_.peak - state_.begun_at;
  if (state_.angle < state_.begun_at + params_.away_share * height) {
    state_.closing = true;
    state_.closing_s = t_s;
    return std::nullopt;
  }
  // Reps without standing up fully in between: down by half, and up again.
  const bool dipped = state_.valley < state_.begun_at + params_.split_share * height;
  if (!dipped || state_.angle < state_.valley + params_.rise_share * height) return std::nullopt;
  auto rep = close(state_.valley_s);
  state_.begun_at = state_.valley;
  state_.left_home_s = state_.valley_s;
  state_.peak = state_.valley = state_.angle;
  state_.peak_s = state_.valley_s = t_s;
  state_.back_rate = 0.0;
  return rep;
}

/// Near home: over when the angle stands, turns, or has crept for long.
std::optional<LiveRep> LiveCounter::follow_closing(double t_s) {
  if (state_.angle < state_.valley) {
    state_.valley = state_.angle;
    state_.valley_s = t_s;
  }
  const double now = rate();
  state_.back_rate = std::max(state_.back_rate, -now);
  const bool moves = now < -params_.end_share * state_.back_rate;
  const bool turned = state_.angle > state_.valley + params_.onset;
  if (moves && !turned && t_s - state_.closing_s < params_.longest_end_s) return std::nullopt;
  auto rep = close(state_.valley_s);
  state_.away = state_.closing = false;
  state_.left_home_s = turned ? state_.valley_s : t_s;
  return rep;
}

/// The borders of the open excursion, as the analysis after the set finds them.
LiveRep LiveCounter::measured(double end_s) const {
  LiveRep rep{state_.left_home_s, state_.peak_s, state_.peak_s,
              state_.peak_s,      end_s,         state_.peak - state_.begun_at};
  const auto& times = state_.times;
  if (times.size() < 8 || times.back() - times.front() < 0.2) return rep;
  const Eigen::VectorXd t = uniform_times(times.front(), times.back(), kGridRate);
  SegmentationParams params;
  params.least_range = params_.least_range;
  const auto found = excursions_in(t, resampled(times, state_.angles, t), state_.begun_at,
                                   {{rep.start_s, end_s}}, params);
  if (found.size() != 1) return rep;
  rep.start_s = found[0].start.time_s;
  rep.turn_in_s = found[0].turn_in.time_s;
  rep.turn_out_s = found[0].turn_out.time_s;
  rep.end_s = found[0].end.time_s;
  return rep;
}

std::optional<LiveRep> LiveCounter::close(double end_s) {
  if (state_.peak - state_.begun_at < params_.least_range) return std::nullopt;
  if (end_s - state_.left_home_s > params_.longest_rep_s) return std::nullopt;
  state_.reps.push_back(measured(end_s));
  judge_again(state_.reps.size() - 1);
  state_.events.push_back({LiveEvent::Kind::rep, state_.reps.size() - 1, state_.reps.back(), {}});
  return state_.reps.back();
}

/// The usual range has changed: what that makes of the earlier reps is told.
void LiveCounter::judge_again(std::size_t newest) {
  const double least = params_.part_share * usual_range();
  for (std::size_t k = 0; k < state_.reps.size(); ++k) {
    LiveRep& rep = state_.reps[k];
    const bool part = rep.range < least;
    if (part == rep.part) continue;
    const LiveRep before = rep;
    rep.part = part;
    if (k != newest) state_.events.push_back({LiveEvent::Kind::correction, k, rep, before});
  }
}

double LiveCounter::usual_range() const {
  std::vector<double> ranges;
  for (const LiveRep& rep : state_.reps) ranges.push_back(rep.range);
  return ranges.empty() ? 0.0 : median_of(ranges);
}

std::vector<LiveEvent> LiveCounter::take_events() { return std::exchange(state_.events, {}); }

int LiveCounter::part_reps() const {
  return static_cast<int>(std::count_if(state_.reps.begin(), state_.reps.end(),
                                        [](const LiveRep& rep) { return rep.part; }));
}

int LiveCounter::full_reps() const { return static_cast<int>(state_.reps.size()) - part_reps(); }

void LiveCounter::begin_set() {
  state_.reps.clear();
  state_.events.clear();
  state_.away = state_.closing = false;
  state_.back_rate = 0.0;
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
