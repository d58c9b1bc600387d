#include "repetition_reps.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "strapline/dsp/segmentation.hpp"

#include "alike_turns.hpp"
#include "handling.hpp"
#include "like_excursions.hpp"
#include "median.hpp"
#include "rep_borders.hpp"
#include "rep_pieces.hpp"
#include "rep_views.hpp"
#include "rest_velocity.hpp"
#include "rising_reps.hpp"
#include "shallow_reps.hpp"
#include "strongest_turn.hpp"
#include "clear_turns.hpp"

namespace strapline::dsp {
namespace {

constexpr double kWidestRange = 3.0;  // rad: no limb turns further in a rep
constexpr double kFastestRep = 1.0;   // s: in a set, most reps take longer (a gait cycle does not)
constexpr double kClearRanges = 2.0;  // least ranges: a set of a named movement without its angle
constexpr double kClearTurn = 0.5;    // rad: a smaller range is not what makes the rep
constexpr double kFastAlone = 0.4;    // 1, of the usual length: no client hurries so
constexpr std::size_t kFewAlone = 2;  // …nor for so many
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
/// `least_share` of the usual from where it begins, about whatever axis, is no part rep.
void spare_what_turns(SetWork& work, double least_share) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  std::vector<double> turns;
  for (const Excursion& e : work.excursions) {
    const Eigen::Index start = nearest_index(work.t, e.start.time_s);
    turns.push_back(turn_between(strap, start, e.turn_index).norm());
  }
  const double least = least_share * usual_of(turns, work.segmentation.part_share);
  for (std::size_t k = 0; k < turns.size(); ++k) {
    if (turns[k] >= least) work.excursions[k].part = false;
  }
}

/// s, the usual length of the repetitions.
double usual_stretch(const std::vector<Repetition>& reps) {
  std::vector<double> lengths;
  for (const Repetition& rep : reps) lengths.push_back(paced_length(rep));
  return lengths.empty() ? 0.0 : median_of(std::move(lengths));
}

/// Leaves out one or two that are fast among slow reps (at least one): who speeds up does not do so
/// for them. What is very much like the set's and took its time as a repetition only lacks what the
/// axis of most turning does not show.
void leave_out_fast_alone(SetWork& work) {
  const std::vector<Excursion>& reps = work.excursions;
  const double fast = kFastAlone * usual_length(reps);
  const double least_stretch = kTakesItsTime * usual_stretch(work.repetitions);
  const auto fast_at = [&](std::size_t k) {
    const Repetition* rep = repetition_at(work, reps[k]);
    const bool slow =
        rep != nullptr && rep->similarity >= kAlike && paced_length(*rep) >= least_stretch;
    return length_of(reps[k]) < fast && !slow;
  };
  const auto slower = [&](std::size_t k, double length) {
    return k >= reps.size() || length_of(reps[k]) > kSlower * length;
  };
  std::vector<Excursion> out;
  for (std::size_t k = 0; k < reps.size();) {
    std::size_t end = k;
    while (end < reps.size() && fast_at(end)) ++end;
    const bool alone = end > k && end - k <= kFewAlone && slower(k - 1, length_of(reps[k])) &&
                       slower(end, length_of(reps[end - 1]));  // k - 1: none before the first
    end = std::max(end, k + 1);
    for (; k < end; ++k) {
      if (!alone) out.push_back(reps[k]);
    }
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

/// Where the height, not the turn, parts the reps, takes those for the excursions.
bool take_rising(SetWork& work, const SegmentationParams& params) {
  std::vector<Excursion> rising = rising_reps(work, params);
  if (rising.empty()) return false;
  work.excursions = std::move(rising);
  return true;
}

TurnTells turn_tells(const SetWork& work, bool what_like) {
  if (what_like) return TurnTells::what_like;
  const bool when = work.rises || wide_range(work.excursions) >= kTellsPace;
  return when ? TurnTells::when : TurnTells::little;
}

/// The reps by what the repetitions and the range angle tell.
void told_by_both(SetWork& work, const SegmentationParams& params) {
  work.excursions = excursions_in(work.t, work.range_angle, work.start_level,
                                  stretches_of(work.repetitions), params);
  work.rises = false;
  if (work.excursions.empty()) return;
  leave_out_pieces(work);
  const bool own_angle = work.input.movement.range_angle == RangeAngle::strongest_turn;
  const bool turns = wide_range(work.excursions) >= kClearTurn;
  if (own_angle && turns) work.excursions = with_alike(work, work.excursions, params);
  if (own_angle && !turns) work.rises = take_rising(work, params);
  leave_out_handling(work, turn_tells(work, own_angle && turns));
  if (own_angle && !work.excursions.empty()) leave_out_fast_alone(work);
  if (!turns && !work.rises) mark_part_reps_by_size(work);
  if (own_angle && wide_range(work.excursions) >= kTellsPace) {
    spare_what_turns(work, turns ? work.segmentation.part_share : kAsWide);
  }
}

/// Whether they share more than half of the shorter one's time.
bool same_time(const Repetition& rep, const Excursion& e) {
  const double shared = std::min(rep.to_s, e.end.time_s) - std::max(rep.from_s, e.start.time_s);
  return 2.0 * shared > std::min(rep.to_s - rep.from_s, length_of(e));
}

/// Leaves out the repetitions that turned out to be no reps; whether there were any.
bool leave_out_no_reps(SetWork& work) {
  std::vector<Repetition> reps;
  for (const Repetition& rep : work.repetitions) {
    const bool one = std::any_of(work.excursions.begin(), work.excursions.end(),
                                 [&](const Excursion& e) { return same_time(rep, e); });
    if (one) reps.push_back(rep);
  }
  if (reps.size() == work.repetitions.size() || reps.empty()) return false;
  work.repetitions = std::move(reps);
  return true;
}

}  // namespace

void segment_repetitions(SetWork& work) {
  SegmentationParams params = work.segmentation;
  params.ringing *= kOtherAxes;
  PreparedStrap& strap = work.straps[work.repeating];
  strap.motion.vertical_velocity =
      velocity_between_rests(work.input.straps[work.repeating].data, strap, work.t);
  told_by_both(work, params);
  const bool own_angle = work.input.movement.range_angle == RangeAngle::strongest_turn;
  if (own_angle && !work.rises && leave_out_no_reps(work)) {
    // What hands did was taken for reps: it bent the axis, and hid how far they turn.
    work.range_angle = turn_from_start(work.straps[work.repeating].motion, work.t,
                                       sure_stretches(work.repetitions));
    told_by_both(work, params);
  }
  if (own_angle) {
    find_borders_anew(work, params);
    leave_out_stray_parts(work);
    work.excursions = work.rises ? by_clear_turns(work, params) : with_alike_turns(work, params);
    work.excursions = with_shallow(work, params);
    find_borders_anew(work, params);
  }
  leave_out_other_movements(work);
}

}  // namespace strapline::dsp
