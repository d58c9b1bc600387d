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
constexpr double kHasty = 0.6;        // 1, of the usual moving time
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

bool much_alike(const Excursion& e, const SetWork& work) {
  const double turn_s = work.t[e.turn_index];
  return std::any_of(work.repetitions.begin(), work.repetitions.end(), [&](const auto& rep) {
    return rep.from_s <= turn_s && turn_s <= rep.to_s && rep.similarity >= kAlike;
  });
}

/// A hand that lets go or takes hold at a cluster's end is much faster than the reps beside it.
/// Where several are as fast, the client hurries.
void leave_out_handling_at_ends(SetWork& work) {
  std::vector<Excursion>& reps = work.excursions;
  std::vector<double> lengths, moving;
  for (const Excursion& e : reps) {
    lengths.push_back(length_of(e));
    moving.push_back(moving_time(e));
  }
  const double apart = kApart * median_of(lengths);
  const double least_s = kHasty * median_of(moving);
  const auto hasty = [&](std::size_t k) { return moving_time(reps[k]) < least_s; };
  const auto parted = [&](std::size_t k) {  // from the one before
    return k == 0 || k == reps.size() || reps[k].start.time_s - reps[k - 1].end.time_s > apart;
  };
  std::vector<Excursion> kept;
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const bool first = parted(k), last = parted(k + 1);
    const bool alone = (first || !hasty(k - 1)) && (last || !hasty(k + 1));
    const bool handling = (first || last) && alone && hasty(k) && !much_alike(reps[k], work);
    if (!handling) kept.push_back(reps[k]);
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
  if (wide_range(work.excursions) < kClearTurn) {
    mark_part_reps_by_size(work);
  } else if (work.input.movement.range_angle == RangeAngle::strongest_turn) {
    work.excursions = with_alike(work, work.excursions, params);
    leave_out_handling_at_ends(work);
  }
  leave_out_other_movements(work);
}

}  // namespace strapline::dsp
