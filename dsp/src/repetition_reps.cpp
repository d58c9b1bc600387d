#include "repetition_reps.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "strapline/dsp/rotation.hpp"
#include "strapline/dsp/segmentation.hpp"

#include "handling.hpp"
#include "like_excursions.hpp"
#include "median.hpp"
#include "rising_reps.hpp"

namespace strapline::dsp {
namespace {

constexpr double kWidestRange = 3.0;  // rad: no limb turns further in a rep
constexpr double kFastestRep = 1.0;   // s: in a set, most reps take longer (a gait cycle does not)
constexpr double kClearRanges = 2.0;  // least ranges: a set of a named movement without its angle
constexpr double kClearTurn = 0.5;    // rad: a smaller range is not what makes the rep
constexpr double kFastAlone = 0.4;    // 1, of the usual length: no client hurries so
constexpr double kSlower = 1.5;       // 1, of its own length: beside it
constexpr double kAlike = RepetitionParams{}.stray_similarity;
constexpr double kTellsPace = 0.25;  // rad: a range that shows when the strap moves, if not how far
/// 1: the axis of most turning is nobody's joint. What else the limb does shows in its rate too, a
/// few hundredths of the peak, and moves the borders as a ringing strap does, so many times as far.
constexpr double kOtherAxes = 5.0;

/// Part reps of a movement that hardly turns the strap (a press, a wrist) show in the size of all
/// that it does, height among it.
void mark_part_reps_by_size(SetWork& work) {
  std::vector<double> sizes;
  for (const Excursion& e : work.excursions) {
    if (const Repetition* rep = repetition_at(work, e)) sizes.push_back(rep->size);
  }
  const double share = work.segmentation.part_share;
  const double least = share * usual_of(std::move(sizes), share);
  for (Excursion& e : work.excursions) {
    const Repetition* rep = repetition_at(work, e);
    e.part = rep != nullptr && rep->size < least;
  }
}

/// A shallow rep may go another way than the axis of most turning tells: what turns the strap by
/// half of the usual from where it begins, about whatever axis, is no part rep.
void spare_what_turns(SetWork& work) {
  const auto& q = work.straps[work.repeating].motion.q_world_from_sensor;
  std::vector<double> turns;
  for (const Excursion& e : work.excursions) {
    const auto start = static_cast<std::size_t>(nearest_index(work.t, e.start.time_s));
    const auto turn = static_cast<std::size_t>(e.turn_index);
    turns.push_back(log_rotation(q[turn] * q[start].conjugate()).norm());
  }
  const double share = work.segmentation.part_share;
  const double least = share * usual_of(turns, share);
  for (std::size_t k = 0; k < turns.size(); ++k) {
    if (turns[k] >= least) work.excursions[k].part = false;
  }
}

/// Leaves out what is fast among slow reps (at least one) and not very much like the set's: who
/// speeds up does not do so for one.
void leave_out_fast_alone(SetWork& work) {
  const std::vector<Excursion>& reps = work.excursions;
  const double fast = kFastAlone * usual_length(reps);
  const auto slower = [&](std::size_t k, double length) {
    return k >= reps.size() || length_of(reps[k]) > kSlower * length;
  };
  std::vector<Excursion> out;
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const double length = length_of(reps[k]);
    const Repetition* rep = repetition_at(work, reps[k]);
    const bool alike = rep != nullptr && rep->similarity >= kAlike;
    const bool alone = slower(k - 1, length) && slower(k + 1, length);  // -1: none
    if (length >= fast || alike || !alone) out.push_back(reps[k]);
  }
  work.excursions = std::move(out);
}

/// Where a movement's own angle is not to be had, what repeats may be something else: walking is
/// faster, swings the limb less, and no joint turns by half a circle.
void leave_out_other_movements(SetWork& work) {
  if (work.input.movement.range_angle == RangeAngle::strongest_turn) return;
  std::erase_if(work.excursions, [&](const Excursion& e) {
    return length_of(e) < work.segmentation.shortest_rep_s || e.range > kWidestRange;
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

}  // namespace

void segment_repetitions(SetWork& work) {
  SegmentationParams params = work.segmentation;
  params.ringing *= kOtherAxes;
  work.excursions = excursions_in(work.t, work.range_angle, work.start_level,
                                  stretches_of(work.repetitions), params);
  if (work.excursions.empty()) return;
  const bool own_angle = work.input.movement.range_angle == RangeAngle::strongest_turn;
  const bool turns = wide_range(work.excursions) >= kClearTurn;
  work.rises = false;
  if (own_angle) {
    std::vector<Excursion> own =
        turns ? with_alike(work, work.excursions, params) : rising_reps(work, params);
    work.rises = !turns && !own.empty();
    if (turns || work.rises) work.excursions = std::move(own);
  }
  leave_out_handling(work, work.rises || wide_range(work.excursions) >= kTellsPace);
  if (own_angle && !work.excursions.empty()) leave_out_fast_alone(work);
  if (!turns && !work.rises) mark_part_reps_by_size(work);
  if (turns && own_angle) spare_what_turns(work);
  leave_out_other_movements(work);
}

}  // namespace strapline::dsp
