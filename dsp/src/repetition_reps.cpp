#include "repetition_reps.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "strapline/dsp/segmentation.hpp"

#include "like_excursions.hpp"
#include "median.hpp"

namespace strapline::dsp {
namespace {

constexpr double kWidestRange = 3.0;  // rad: no limb turns further in a rep
constexpr double kFastestRep = 1.0;   // s: in a set, most reps take longer (a gait cycle does not)
constexpr double kClearRanges = 2.0;  // least ranges: a set of a named movement without its angle
constexpr double kClearTurn = 0.5;    // rad: a smaller range is not what makes the rep
constexpr double kApart = 2.0;        // 1, of a rep's length: a longer pause parts clusters
constexpr double kHasty = 0.5;        // 1, of the usual length of a repetition
constexpr double kHastyTurn = 0.6;    // 1, of the usual moving time of the strap's turn
constexpr std::size_t kMotions = 3;   // of a hand, at a cluster's end
constexpr double kAlike = 0.95;       // 1, similarity: so much like the set's that it is of it
constexpr double kTooWide = 1.8;      // 1, of the widest other range: rather something else
/// 1: the axis of most turning is nobody's joint. What else the limb does shows in its rate too, a
/// few hundredths of the peak, and moves the borders as a ringing strap does, so many times as far.
constexpr double kOtherAxes = 5.0;

/// Part reps of a movement that hardly turns the strap (a press, a wrist) show in the size of all
/// that it does, height among it.
void mark_part_reps_by_size(SetWork& work) {
  std::vector<double> sizes;
  for (const Repetition& rep : work.repetitions) sizes.push_back(rep.size);
  const double least = work.segmentation.part_share * median_of(sizes);
  for (Excursion& e : work.excursions) {
    const double turn_s = work.t[e.turn_index];
    e.part = std::any_of(work.repetitions.begin(), work.repetitions.end(), [&](const auto& rep) {
      return rep.from_s <= turn_s && turn_s <= rep.to_s && rep.size < least;
    });
  }
}

double length_of(const Excursion& e) { return e.end.time_s - e.start.time_s; }

/// Where a movement's own angle is not to be had, what repeats may be something else: walking is
/// faster, swings the limb less, and no joint turns by half a circle.
void leave_out_other_movements(SetWork& work) {
  if (work.input.movement.range_angle == RangeAngle::strongest_turn) return;
  std::erase_if(work.excursions, [&](const Excursion& e) {
    return length_of(e) < work.segmentation.shortest_rep_s ||
           e.range > kWidestRange;
  });
  std::vector<double> ranges, durations;
  for (const Excursion& e : work.excursions) {
    ranges.push_back(e.range);
    durations.push_back(length_of(e));
  }
  if (!ranges.empty() && (median_of(ranges) < kClearRanges * work.segmentation.least_range ||
                          median_of(durations) < kFastestRep)) {
    work.excursions.clear();
  }
}

/// s, without the hold at the turn, which a client may leave out.
double moving_time(const Excursion& e) {
  return e.turn_in.time_s - e.start.time_s + e.end.time_s - e.turn_out.time_s;
}

const Repetition* repetition_at(const SetWork& work, double time_s) {
  const auto found =
      std::find_if(work.repetitions.begin(), work.repetitions.end(), [&](const auto& rep) {
        return rep.from_s <= time_s && time_s <= rep.to_s;
      });
  return found == work.repetitions.end() ? nullptr : &*found;
}

/// Which of the excursions are much faster than is usual, and not much like the set's.
std::vector<char> handling_in(const SetWork& work, bool by_turn) {
  std::vector<double> moving, stretch;
  for (const Excursion& e : work.excursions) moving.push_back(moving_time(e));
  for (const Repetition& rep : work.repetitions) stretch.push_back(rep.to_s - rep.from_s);
  const double usual_moving = median_of(moving), usual_stretch = median_of(stretch);
  std::vector<char> found;
  for (const Excursion& e : work.excursions) {
    const Repetition* rep = repetition_at(work, work.t[e.turn_index]);
    const bool alike = rep != nullptr && rep->similarity >= kAlike;
    const bool hasty = (by_turn && moving_time(e) < kHastyTurn * usual_moving) ||
                       (rep != nullptr && rep->to_s - rep->from_s < kHasty * usual_stretch);
    found.push_back(hasty && !alike ? 1 : 0);
  }
  return found;
}

/// A hand that takes hold or lets go before a cluster or after it is much faster than the reps, and
/// done after a few motions: more of them are a client who hurries.
/// `by_turn`: the turn of the strap shows when they move.
void leave_out_handling_at_ends(SetWork& work, bool by_turn) {
  std::vector<Excursion>& reps = work.excursions;
  const std::vector<char> handling = handling_in(work, by_turn);
  std::vector<double> lengths;
  for (const Excursion& e : reps) lengths.push_back(length_of(e));
  const double apart = kApart * median_of(lengths);
  std::vector<Excursion> kept;
  for (std::size_t first = 0; first < reps.size();) {
    std::size_t end = first + 1;
    while (end < reps.size() && reps[end].start.time_s - reps[end - 1].end.time_s <= apart) ++end;
    const std::size_t next = end;
    std::size_t before = first, after = end;
    while (before < end && handling[before] != 0) ++before;
    while (after > before && handling[after - 1] != 0) --after;
    if (before - first <= kMotions) first = before;
    if (end - after <= kMotions) end = after;
    kept.insert(kept.end(), reps.begin() + static_cast<std::ptrdiff_t>(first),
                reps.begin() + static_cast<std::ptrdiff_t>(std::max(first, end)));
    first = next;
  }
  reps = std::move(kept);
}

}  // namespace

void segment_repetitions(SetWork& work) {
  SegmentationParams params = work.segmentation;
  params.ringing *= kOtherAxes;
  work.excursions = excursions_in(work.t, work.range_angle, work.start_level,
                                  stretches_of(work.repetitions), params);
  if (work.excursions.empty()) return;
  const bool turns = wide_range(work.excursions) >= kClearTurn;
  if (!turns) {
    mark_part_reps_by_size(work);
  } else if (work.input.movement.range_angle == RangeAngle::strongest_turn) {
    work.excursions = with_alike(work, work.excursions, params);
  }
  leave_out_handling_at_ends(work, turns);
  leave_out_other_movements(work);
}

}  // namespace strapline::dsp
