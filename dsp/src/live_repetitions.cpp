#include "live_repetitions.hpp"

#include <algorithm>
#include <limits>

#include "median.hpp"
#include "range_angle.hpp"
#include "repetition_reps.hpp"
#include "set_work.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kLookEvery = 2.0;  // s
constexpr double kWindow = 150.0;   // s, of the set that is looked at: a quarter of a second's work
constexpr double kLongestRep = 15.0;  // s: the window's first ones may be cut

/// A rep shows in what repeats once the next one is under way.
double settled_until(const std::vector<LiveRep>& reps, double now_s) {
  std::vector<double> lengths;
  for (const LiveRep& rep : reps) lengths.push_back(rep.end_s - rep.start_s);
  return lengths.empty() ? std::numeric_limits<double>::lowest() : now_s - median_of(lengths);
}

}  // namespace

LiveRepetitions::LiveRepetitions(const std::vector<Placement>& straps, const MovementSpec& movement,
                                 const std::vector<SensorErrors>& errors)
    : movement_(movement), placements_(straps), errors_(errors), readings_(straps.size()) {}

void LiveRepetitions::begin(double from_s) {
  for (Readings& readings : readings_) readings = {};
  from_s_ = from_s;
  next_look_s_ = from_s + kLookEvery;
  told_.clear();
}

void LiveRepetitions::keep(std::size_t k, double t_s, const Vector3d& gyr, const Vector3d& acc,
                           bool trusted) {
  Readings& readings = readings_[k];
  if (!readings.t.empty() && t_s <= readings.t.back()) return;
  readings.t.push_back(t_s);
  readings.gyr.push_back(gyr);
  readings.acc.push_back(acc);
  readings.flags.push_back(trusted ? 0 : kAfterGap);
}

InertialSeries LiveRepetitions::Readings::from(double from_s) const {
  const auto first = std::lower_bound(t.begin(), t.end(), from_s) - t.begin();
  const auto n = static_cast<Index>(t.size()) - first;
  InertialSeries out{Eigen::VectorXd(n),
                     Eigen::Matrix3Xd(3, n),
                     Eigen::Matrix3Xd(3, n),
                     {flags.begin() + first, flags.end()}};
  for (Index i = 0; i < n; ++i) {
    const auto at = static_cast<std::size_t>(first + i);
    out.t[i] = t[at];
    out.gyr.col(i) = gyr[at];
    out.acc.col(i) = acc[at];
  }
  return out;
}

/// What the straps have read since `from_s`; a strap that was not heard of is left out.
SetInput LiveRepetitions::input_from(double from_s) const {
  SetInput input;
  input.movement = movement_;
  for (std::size_t k = 0; k < placements_.size(); ++k) {
    InertialSeries data = readings_[k].from(from_s);
    if (data.size() >= 2) input.straps.push_back({placements_[k], std::move(data), errors_[k], {}});
  }
  return input;
}

void LiveRepetitions::look(const LiveGrid& grid, Index end, bool over) {
  if (end < 2) return;
  const double now_s = grid.t()[end - 1];
  if (!over && now_s < next_look_s_) return;
  next_look_s_ = now_s + kLookEvery;
  const double from_s = std::max(from_s_, now_s - kWindow);
  const Index first = std::clamp<Index>(grid.at(from_s), 0, end - 2);
  const SetInput input = input_from(from_s);
  if (input.straps.empty()) return;
  const Eigen::VectorXd t = grid.t().segment(first, end - first);
  // As the analysis after the set does: the streaming estimate's heights drift too far.
  std::vector<PreparedStrap> straps(input.straps.size());
  for (std::size_t k = 0; k < straps.size(); ++k) {
    straps[k].placement = input.straps[k].placement;
    smoother_.set_params(params_for(input.straps[k].errors));
    const OrientationSeries smooth = smoother_.smooth(input.straps[k].data);
    straps[k].motion = on_grid(smooth, t);
    straps[k].gyr_bias = smooth.gyr_bias;
  }
  SetWork work = work_on(input, t, std::move(straps));
  work.parts.set = {work.t[0], work.t[work.t.size() - 1]};
  work.segmentation.least_range = movement_.least_range;
  find_range_angle(work);
  if (work.repetitions.empty() && !over) return;
  segment_repetitions(work);
  tell(work.excursions, from_s > from_s_ ? from_s + kLongestRep : from_s, now_s, over);
}

void LiveRepetitions::tell(const std::vector<Excursion>& excursions, double cut_s, double now_s,
                           bool over) {
  std::vector<LiveRep> reps;
  for (const Excursion& e : excursions) {
    if (e.end.time_s >= cut_s) reps.push_back(live_rep(e));
  }
  told_.replace(reps, {cut_s, over ? now_s : settled_until(reps, now_s)});
}

}  // namespace strapline::dsp
