#include "shallow_reps.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "median.hpp"
#include "rep_views.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

// Figures of ours.
constexpr double kClearTurn = 0.2;    // rad: usual reps turn the strap at least so far
constexpr double kClearHeight = 0.2;  // rad (10 cm): …or rise so high
constexpr double kBriefest = 0.6;     // 1, of the usual length
constexpr double kLongest = 1.6;      // 1, of it
constexpr double kPause = 0.3;        // 1, of it: between reps, where none is known
constexpr double kPauseSlack = 0.15;  // 1, of it: longer than they usually are
constexpr double kLeastPause = 0.25;  // 1, of the usual pause: a client keeps the set's rhythm
constexpr double kBlur = 0.03;        // 1, of the usual length: borders are not told better
constexpr double kOffWay = 0.9;       // 1, of its turn: from where they pass, at most
constexpr double kComesBack = 0.7;    // 1, of its own range: from either end to the turn
constexpr double kAway = 0.15;        // 1, of the widest there: further from home is away
constexpr double kGrinds = 3.0;       // 1, of the usual length: a full one
constexpr double kAsLong = 0.75;      // 1, of it, at least: it is like them
constexpr double kAsSlow = 0.9;       // 1, of the quickest full one's: a narrow one, at least
constexpr double kSameWay = 0.15;     // 1, of the usual turn: off their way, at most
constexpr double kAtHome = 0.1;       // 1, of it: where it ends, at most
constexpr double kHardly = 0.1;       // 1, of it: what rises by as much turns so, at least
constexpr double kSway = 0.06;        // rad: …and further than one who stands there sways
constexpr double kRests = 0.005;      // m/s: slower is rest
constexpr Index kEvery = 5;           // samples
constexpr double kEdge = 0.1;         // s

/// How the reps follow each other, s.
struct Pace {
  double length_s = 0.0;
  double least_pause_s = 0.0, most_pause_s = 0.0;
  /// Whether one follows another after so long a pause.
  [[nodiscard]] bool follows(double pause_s) const {
    return pause_s >= least_pause_s && pause_s <= most_pause_s;
  }
};

Pace pace_of(const std::vector<Excursion>& reps, double length_s) {
  std::vector<double> pauses;
  for (std::size_t k = 1; k < reps.size(); ++k) {
    const double pause = reps[k].start.time_s - reps[k - 1].end.time_s;
    if (pause < length_s) pauses.push_back(std::max(0.0, pause));
  }
  const double slack = kPauseSlack * length_s;
  if (pauses.empty()) return {length_s, 0.0, kPause * length_s + slack};
  const double usual = quantile_of(std::move(pauses), 0.25);  // longer ones may hold a part rep
  return {length_s, std::max(0.0, kLeastPause * usual - kBlur * length_s), usual + slack};
}

void add(std::vector<Excursion>& reps, const std::vector<Excursion>& others) {
  reps.insert(reps.end(), others.begin(), others.end());
  sort_by_start(reps);
}

class ShallowFinder {
 public:
  /// At least one of the reps is a full one.
  ShallowFinder(const SetWork& work, const SegmentationParams& params)
      : work_(work),
        params_(params),
        full_(full_of(work.excursions)),
        pace_(pace_of(work.excursions, usual_length(full_))),
        turns_(view_of_turns(work, full_, params.part_share)) {}

  /// By what shows them clearly.
  [[nodiscard]] std::vector<Excursion> with_part_reps() const {
    std::vector<Excursion> reps = work_.excursions;
    if (turns_.range >= kClearTurn) add(reps, shown(turns_, reps));
    const RepView heights = view_of_heights(work_, reps, full_, params_.part_share);
    if (heights.range >= kClearHeight) add(reps, shown(heights, reps));
    return reps;
  }

 private:
  [[nodiscard]] Index at(double time_s) const { return nearest_index(work_.t, time_s); }
  [[nodiscard]] const GridMotion& strap() const { return work_.straps[work_.repeating].motion; }

  /// What the view shows before, between and after the reps.
  [[nodiscard]] std::vector<Excursion> shown(const RepView& view,
                                             const std::vector<Excursion>& reps) const {
    std::vector<Excursion> found;
    for (std::size_t k = 0; k <= reps.size(); ++k) {
      const Excursion* before = k > 0 ? &reps[k - 1] : nullptr;
      const Excursion* after = k < reps.size() ? &reps[k] : nullptr;
      std::vector<Excursion> here = between(view, before, after);
      const bool fills = before != nullptr && after != nullptr && fill(*before, here, *after);
      std::erase_if(here, [&](const Excursion& e) {
        const bool part_rep = is_part(e) && goes_their_way(e);
        const bool fits = !narrow(view, e) && (fills || part_rep);
        return !turns_as_far(view, e) || !(fits || is_alike(view, e));
      });
      add(found, here);
    }
    for (Excursion& e : found) {
      e.part = is_part(e);
      e.range = turn_of(e).norm();
    }
    return found;
  }

  /// From either of two reps inwards, one after the other.
  [[nodiscard]] std::vector<Excursion> between(const RepView& view, const Excursion* before,
                                               const Excursion* after) const {
    std::vector<Excursion> found;
    Interval gap{before != nullptr ? before->end.time_s : work_.t[0],
                 after != nullptr ? after->start.time_s : work_.t[work_.t.size() - 1]};
    while (before != nullptr) {
      auto next = first_of(view, gap, kLongest);
      if (!next && (next = first_of(view, gap, kGrinds)) && !is_alike(view, *next)) next.reset();
      if (!next) break;
      found.push_back(*next);
      gap.from_s = next->end.time_s;
    }
    while (after != nullptr) {
      auto next = last_of(view, gap, kLongest);
      if (!next && (next = last_of(view, gap, kGrinds)) && !is_alike(view, *next)) next.reset();
      if (!next) break;
      found.push_back(*next);
      gap.to_s = next->start.time_s;
    }
    return found;
  }

  /// What follows the rep at the gap's beginning.
  [[nodiscard]] std::optional<Excursion> first_of(const RepView& view, const Interval& gap,
                                                  double longest) const {
    const double to_s = std::min(gap.to_s, gap.from_s + way_of(longest));
    for (const Excursion& e :
         part_reps_in(view, {gap.from_s, to_s}, home_after(view, {gap.from_s, to_s}), longest)) {
      const bool cut = to_s < gap.to_s && e.end.time_s > to_s - kEdge;
      const bool apart = gap.to_s - e.end.time_s >= pace_.least_pause_s;
      if (!cut && apart && pace_.follows(e.start.time_s - gap.from_s)) return e;
    }
    return std::nullopt;
  }

  /// What leads to the rep at the gap's end.
  [[nodiscard]] std::optional<Excursion> last_of(const RepView& view, const Interval& gap,
                                                 double longest) const {
    const double from_s = std::max(gap.from_s, gap.to_s - way_of(longest));
    const std::vector<Excursion> found =
        part_reps_in(view, {from_s, gap.to_s}, home_before(view, {from_s, gap.to_s}), longest);
    for (auto e = found.rbegin(); e != found.rend(); ++e) {
      const bool cut = from_s > gap.from_s && e->start.time_s < from_s + kEdge;
      const bool apart = e->start.time_s - gap.from_s >= pace_.least_pause_s;
      if (!cut && apart && pace_.follows(gap.to_s - e->end.time_s)) return *e;
    }
    return std::nullopt;
  }

  /// Where the strap is at home after the rep before `window`. A height may pass home before it
  /// comes to rest there: a pelvis that rises from a lunge does.
  [[nodiscard]] Index home_after(const RepView& view, const Interval& window) const {
    Index home = at(window.from_s);
    if (view.shows_full) return home;
    const Index last = at(std::min(window.to_s, window.from_s + pace_.most_pause_s));
    for (Index i = home; i <= last; ++i) {
      if (known_at(i) && speed_at(i) < speed_at(home)) home = i;
    }
    return home;
  }

  /// The same before the rep after it.
  [[nodiscard]] Index home_before(const RepView& view, const Interval& window) const {
    Index home = at(window.to_s);
    if (view.shows_full) return home;
    const Index first = at(std::max(window.from_s, window.to_s - pace_.most_pause_s));
    for (Index i = home; i >= first; --i) {
      if (known_at(i) && speed_at(i) < speed_at(home)) home = i;
    }
    return home;
  }

  /// What passes home begins and ends where the strap rests.
  void reach_rest(Excursion& e, const Interval& window) const {
    Index start = at(e.start.time_s), end = at(e.end.time_s);
    while (start > at(window.from_s) && speed_at(start) > kRests) --start;
    while (end < at(window.to_s) && speed_at(end) > kRests) ++end;
    e.start.time_s = work_.t[start];
    e.end.time_s = work_.t[end];
  }

  [[nodiscard]] bool known_at(Index i) const {
    return strap().known[static_cast<std::size_t>(i)] != 0;
  }

  /// m/s, up or down.
  [[nodiscard]] double speed_at(Index i) const { return std::abs(strap().vertical_velocity[i]); }

  /// s, what a part rep and the pause before it take.
  [[nodiscard]] double way_of(double longest) const {
    return pace_.most_pause_s + longest * pace_.length_s + 2.0 * kEdge;
  }

  /// What in `window` has a part rep's range and length, and comes back to `home`, an index of t.
  [[nodiscard]] std::vector<Excursion> part_reps_in(const RepView& view, const Interval& window,
                                                    Index home, double longest) const {
    if (window.length() < kBriefest * pace_.length_s) return {};
    const Samples samples{at(window.from_s), at(window.to_s)};
    const VectorXd t = work_.t.segment(samples.first, samples.last - samples.first + 1);
    // What a client does beside the set must not hide what is small.
    const VectorXd seen = view.from_home(samples, home);
    VectorXd x = seen.array().min(view.range);
    if (!view.shows_full) x = x.array().max(0.0);  // past home, on the way there or back
    SegmentationParams params = params_;
    params.least_range = view.least;
    params.away_share = kAway;
    std::vector<Excursion> found = find_excursions(t, x, 0.0, window, params);
    if (!view.shows_full) {
      for (Excursion& e : found) reach_rest(e, window);
    }
    std::erase_if(found, [&](const Excursion& e) {
      const double share = length_of(e) / pace_.length_s;
      const Index start = nearest_index(t, e.start.time_s), end = nearest_index(t, e.end.time_s);
      if (view.too_wide(seen.segment(start, end - start + 1).maxCoeff())) return true;
      const bool back = x[e.turn_index] - std::max(x[start], x[end]) >= kComesBack * e.range;
      return !view.rep_wide(e.range) || share < kBriefest || share > longest || !back;
    });
    for (Excursion& e : found) e.turn_index += samples.first;
    return found;
  }

  /// Whether the gap between two reps holds nothing but `found` and the usual pauses.
  [[nodiscard]] bool fill(const Excursion& before, std::vector<Excursion> found,
                          const Excursion& after) const {
    add(found, {before, after});
    return std::adjacent_find(found.begin(), found.end(), [&](const auto& a, const auto& b) {
             return b.start.time_s - a.end.time_s > pace_.most_pause_s;
           }) == found.end();
  }

  [[nodiscard]] Vector3d turn_of(const Excursion& e) const {
    return turn_between(strap(), at(e.start.time_s), e.turn_index);
  }

  /// Where the reps clearly turn the strap, so does a part rep, if not as far.
  [[nodiscard]] bool turns_as_far(const RepView& view, const Excursion& e) const {
    if (turns_.range < kClearTurn) return true;
    const double turn = turn_of(e).norm();
    if (!view.shows_full && turn >= std::max(kSway, kHardly * turns_.range) && turn < turns_.most) {
      return true;
    }
    return turns_.rep_wide(turn) || (work_.rises && turn >= turns_.least);
  }

  /// Whether it is narrower than full reps usually are, but no part rep; its range is the view's.
  [[nodiscard]] bool narrow(const RepView& view, const Excursion& e) const {
    return view.narrow(e.range) || turns_.narrow(turn_of(e).norm());
  }

  /// s: what is narrow takes as long as full ones, what is as wide may be quicker.
  [[nodiscard]] double least_length(const RepView& view, const Excursion& e) const {
    if (!narrow(view, e)) return kAsLong * pace_.length_s;
    double quickest = length_of(full_.front());
    for (const Excursion& rep : full_) quickest = std::min(quickest, length_of(rep));
    return kAsSlow * quickest;
  }

  /// Whether it goes just where a full rep goes, if not as fast.
  [[nodiscard]] bool is_alike(const RepView& view, const Excursion& e) const {
    const bool tells = turns_.range >= kClearTurn && !is_part(e);
    if (!tells || length_of(e) < least_length(view, e)) return false;
    const Index start = at(e.start.time_s), end = at(e.end.time_s);
    if (turn_between(strap(), start, end).norm() > kAtHome * turns_.range) return false;
    return std::any_of(full_.begin(), full_.end(), [&](const Excursion& rep) {
      for (Index i = start; i <= end; i += kEvery) {
        if (off_way(turn_between(strap(), start, i), rep) > kSameWay * turns_.range) return false;
      }
      return true;
    });
  }

  /// Where the height parts the reps, it found none but part reps.
  [[nodiscard]] bool is_part(const Excursion& e) const {
    return work_.rises || turns_.range < kClearTurn || turn_of(e).norm() < turns_.most;
  }

  /// Some of it, at least: what turns the strap about quite another axis is something else.
  [[nodiscard]] bool goes_their_way(const Excursion& e) const {
    const Vector3d turn = turn_of(e);
    return std::any_of(full_.begin(), full_.end(), [&](const Excursion& rep) {
      return off_way(turn, rep) < kOffWay * turn.norm();
    });
  }

  /// rad, from the turn to the nearest posture of a rep.
  [[nodiscard]] double off_way(const Vector3d& turn, const Excursion& rep) const {
    const Index start = at(rep.start.time_s);
    double least = turn.norm();
    for (Index i = start; i <= at(rep.end.time_s); ++i) {
      least = std::min(least, (turn_between(strap(), start, i) - turn).norm());
    }
    return least;
  }

  const SetWork& work_;
  const SegmentationParams& params_;
  std::vector<Excursion> full_;
  Pace pace_;
  RepView turns_;
};

}  // namespace

std::vector<Excursion> with_shallow(const SetWork& work, const SegmentationParams& params) {
  if (full_of(work.excursions).empty()) return work.excursions;
  return ShallowFinder(work, params).with_part_reps();
}

}  // namespace strapline::dsp
