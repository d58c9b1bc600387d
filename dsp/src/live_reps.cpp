#include "live_reps.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "working_leg.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kSettled = 0.05;  // s, so long after its end a rep is over
constexpr double kBack = 0.75;     // 1, of the way there has to be gone back
constexpr double kWindow = 90.0;   // s: holds the longest rep (two ways and a hold) and its like
constexpr double kWindowStep = 45.0;
constexpr double kSameTime = 1e-3;  // s
bool same(const Excursion& a, const Excursion& b) {
  return a.side == b.side && std::abs(a.start.time_s - b.start.time_s) < kSameTime &&
         std::abs(a.end.time_s - b.end.time_s) < kSameTime && a.turn_index == b.turn_index;
}

/// The trunk's strap, by the order in which they show how upright it is; null where none is worn.
const LiveMotion* trunk_of(const std::vector<LiveMotion>& motions,
                           const std::vector<Placement>& placements) {
  for (const Segment segment :
       {Segment::chest, Segment::upper_back, Segment::lower_back, Segment::pelvis}) {
    for (std::size_t k = 0; k < placements.size(); ++k) {
      if (placements[k].segment == segment) return &motions[k];
    }
  }
  return nullptr;
}

}  // namespace

LiveReps::LiveReps(const MovementSpec& movement) : movement_(movement) {
  segmentation_.least_range = movement.least_range;
}

void LiveReps::begin(double from_s) {
  window_from_s_ = from_s;
  start_.resize(0);
  seen_.clear();
  told_.clear();
}

void LiveReps::look(const LiveGrid& grid, const std::vector<LiveMotion>& motions,
                    const std::vector<Placement>& placements, const LiveRange& range, Index end,
                    const Interval& standing) {
  if (start_.size() == 0 && starts_standing(movement_.range_angle)) {
    std::vector<const GridMotion*> straps;
    for (const LiveMotion& motion : motions) straps.push_back(&motion.motion());
    start_ = posture_in(straps, grid.t(), standing);
  }
  const std::vector<Excursion> found = excursions_so_far(grid, range, end);
  if (take_in(found, grid, motions, placements, range, standing)) {
    std::vector<LiveRep> reps;
    for (const Excursion& e : reps_so_far()) reps.push_back(live_rep(e));
    told_.replace(reps, {std::numeric_limits<double>::lowest(), grid.t()[end - 1]});
  }
  move_window(grid.t()[end - 1]);
}

/// Those of the window that are over.
std::vector<Excursion> LiveReps::excursions_so_far(const LiveGrid& grid, const LiveRange& range,
                                                   Index end) const {
  std::vector<Excursion> over;
  const Index first = std::max<Index>(0, grid.at(window_from_s_));
  if (end - first < 8) return over;
  const VectorXd t = grid.t().segment(first, end - first);
  const double now_s = t[t.size() - 1];
  for (const LiveRange::Angle& angle : range.angles()) {
    const VectorXd x = Eigen::Map<const VectorXd>(angle.value.data() + first, t.size());
    const auto all =
        find_excursions(t, x, angle.start_level, {window_from_s_, now_s}, segmentation_);
    for (std::size_t k = 0; k < all.size(); ++k) {
      Excursion e = all[k];
      const double left = x[nearest_index(t, e.end.time_s)] - x[nearest_index(t, e.start.time_s)];
      const bool back = left < (1.0 - kBack) * e.range && e.end.time_s < now_s - kSettled;
      if (!back && k + 1 == all.size()) continue;
      e.turn_index += first;
      e.side = angle.side;
      over.push_back(e);
    }
  }
  return over;
}

/// False where nothing is new.
bool LiveReps::take_in(const std::vector<Excursion>& found, const LiveGrid& grid,
                       const std::vector<LiveMotion>& motions,
                       const std::vector<Placement>& placements, const LiveRange& range,
                       const Interval& standing) {
  std::vector<Seen> now;
  bool news = false;
  std::size_t settled = 0;
  for (Seen& seen : seen_) {
    if (seen.excursion.end.time_s >= window_from_s_) continue;
    now.push_back(seen);
    ++settled;
  }
  std::vector<const GridMotion*> straps;
  for (const LiveMotion& motion : motions) straps.push_back(&motion.motion());
  for (const Excursion& e : found) {
    const auto known = std::find_if(seen_.begin(), seen_.end(),
                                    [&](const Seen& s) { return same(s.excursion, e); });
    if (known != seen_.end()) {
      now.push_back(*known);
      continue;
    }
    news = true;
    Seen seen{e, {}, false};
    for (const LiveRange::Angle& angle : range.angles()) {
      if (angle.side != e.side) continue;
      const auto n = static_cast<Index>(angle.value.size());
      seen.path = path_of(e, straps, grid.t(), Eigen::Map<const VectorXd>(angle.value.data(), n));
      seen.elsewhere = begins_elsewhere(e, grid, motions, placements, angle, standing);
    }
    now.push_back(std::move(seen));
  }
  news = news || now.size() != seen_.size();
  seen_ = std::move(now);
  return news;
}

bool LiveReps::begins_elsewhere(const Excursion& e, const LiveGrid& grid,
                                const std::vector<LiveMotion>& motions,
                                const std::vector<Placement>& placements,
                                const LiveRange::Angle& angle, const Interval& standing) const {
  if (starts_standing(movement_.range_angle)) {
    std::vector<Excursion> one{e};
    const auto n = static_cast<Index>(angle.value.size());
    leave_out_backswings(one, grid.t(), Eigen::Map<const VectorXd>(angle.value.data(), n),
                         angle.start_level, segmentation_.away_share);
    return one.empty();
  }
  const LiveMotion* trunk = trunk_of(motions, placements);
  if (movement_.start_trunk_turn <= 0.0 || trunk == nullptr) return false;
  return without_standing({e}, trunk->motion(), grid.t(), standing, movement_.start_trunk_turn)
      .empty();
}

/// As the analysis after the set chooses among the excursions.
std::vector<Excursion> LiveReps::reps_so_far() const {
  std::vector<Excursion> reps;
  std::vector<RepPath> paths;
  for (const Seen& seen : seen_) {
    if (seen.elsewhere) continue;
    reps.push_back(seen.excursion);
    paths.push_back(seen.path);
  }
  const std::vector<char> is_rep = reps_among(paths, movement_.least_range, start_);
  std::size_t k = 0;
  std::erase_if(reps, [&](const Excursion&) { return is_rep[k++] == 0; });
  if (movement_.range_angle == RangeAngle::working_thigh_depth) keep_the_larger(reps);
  leave_out_fidgeting(reps, segmentation_);
  mark_part_reps(reps, segmentation_);
  return reps;
}

/// What lies far back is settled: the window begins anew where no excursion is cut.
void LiveReps::move_window(double now_s) {
  if (now_s - window_from_s_ < kWindow + kWindowStep) return;
  double from = now_s - kWindow;
  for (const Seen& seen : seen_) {
    const Excursion& e = seen.excursion;
    if (e.end.time_s >= from) from = std::min(from, e.start.time_s);
  }
  window_from_s_ = std::max(window_from_s_, from);
}

}  // namespace strapline::dsp
