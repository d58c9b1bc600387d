#include "handling.hpp"

#include <algorithm>
#include <iterator>
#include <utility>
#include <vector>

#include "median.hpp"
#include "rep_views.hpp"

namespace strapline::dsp {
namespace {

// Figures of ours, found on synthetic sets and on the labelled real ones.
constexpr double kApart = RepetitionParams{}.apart;
constexpr double kBriefTurn = 0.6;   // 1, of the usual moving time of the strap's turn
constexpr double kBrief = 0.5;       // 1, of the usual length of a repetition
constexpr double kBothBrief = 0.42;  // 1, of both, multiplied
constexpr double kLong = 0.8;        // 1, of it: nothing is brief about it
constexpr double kFlash = 0.4;       // 1, of the usual times: no client hurries so
constexpr double kGrinds = 1.5;      // 1, of the usual moving time: a hard rep, no handling
constexpr std::ptrdiff_t kLone = 2;  // motions
constexpr double kJump = 1.5;        // 1, from one motion to the next: not just a hurry
constexpr double kAlike = RepetitionParams{}.stray_similarity;
constexpr double kRather = 0.92;    // 1, similarity: where the axis shows little of it, a rep yet
constexpr double kRest = 1.0;       // 1, of the usual length: after so long a part rep stands alone
constexpr double kElsewhere = 0.7;  // 1, of its turn: from where it began to where it ends
constexpr double kDrifts = 2.0;     // 1, of it: no part rep takes so long
constexpr double kTurnsClearly = 0.2;   // rad
constexpr double kHardly = 0.1;         // 1, of the usual turn: none at all
constexpr double kSlowYet = 0.8;        // 1, of it: what is as slow is one even so
constexpr std::ptrdiff_t kMotions = 6;  // more of them in a row are a client who hurries

/// s, without the hold at the turn, which a client may leave out.
double moving_time(const Excursion& e) {
  return e.turn_in.time_s - e.start.time_s + e.end.time_s - e.turn_out.time_s;
}

struct Pace {
  bool swings_off = false;             ///< far wider than is usual, and half a repetition at most
  bool hasty = false;                  ///< far wider or much faster
  bool small = false;                  ///< not as wide as the wide ones
  bool alike = false;                  ///< much like the set's, and as wide
  bool quick = false;                  ///< in half of the usual time: by itself none, however alike
  bool steady = false;                 ///< much like the set's, and as slow
  double moving = 0.0, stretch = 0.0;  ///< 1, of the usual times
};

/// The longest weighs no more than the one after it: one grind is not what is usual.
std::vector<double> but_for_the_longest(std::vector<double> lengths) {
  if (lengths.size() < 2) return lengths;
  std::vector<double> sorted = lengths;
  std::sort(sorted.begin(), sorted.end());
  const double most = sorted[sorted.size() - 2];
  for (double& length : lengths) length = std::min(length, most);
  return lengths;
}

/// What is usual of the wide reps, for most of the time that they take: what hands and feet do is
/// often smaller, always shorter, and there may be more of it.
struct Usual {
  explicit Usual(const SetWork& work) {
    std::vector<double> moving, lengths, stretch, size, ranges;
    for (const Repetition& rep : work.repetitions) size.push_back(rep.size);
    wide = kAsWide * quantile_of(size, 0.75);
    for (const Excursion& e : work.excursions) {
      const Repetition* rep = repetition_at(work, e);
      if (rep == nullptr || rep->size < wide) continue;
      ranges.push_back(e.range);
      moving.push_back(moving_time(e));
      lengths.push_back(length_of(e));
      stretch.push_back(paced_length(*rep));
    }
    if (stretch.empty()) return;
    const std::vector<double> weights = but_for_the_longest(stretch);
    range = weighted_median_of(ranges, weights);
    moving_s = weighted_median_of(moving, weights);
    length_s = weighted_median_of(lengths, weights);
    stretch_s = weighted_median_of(stretch, weights);
  }

  double range = 0.0;      // rad
  double moving_s = 0.0;   // of an excursion
  double length_s = 0.0;   // of an excursion, with its hold
  double stretch_s = 0.0;  // of a repetition
  double wide = 0.0;       // rad, the least size
};

/// Leaves out what does not go as far as the reps and ends elsewhere than it began, about whatever
/// axis: the client took another posture.
void leave_out_moves(SetWork& work, const Usual& usual) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  std::erase_if(work.excursions, [&](const Excursion& e) {
    const Eigen::Index start = nearest_index(work.t, e.start.time_s);
    const Eigen::Index end = nearest_index(work.t, e.end.time_s);
    const double away = turn_between(strap, start, e.turn_index).norm();
    return e.range < kAsWide * usual.range &&
           turn_between(strap, start, end).norm() >= kElsewhere * away;
  });
}

/// Neither time tells alone: a client may leave out the hold, or hurry one way. One of them is
/// brief, and the other is not long; or the turn takes no time at all.
Pace pace_of(const Excursion& e, const Repetition* rep, const Usual& usual, TurnTells tells) {
  const bool by_turn = tells != TurnTells::little;
  Pace pace;
  pace.moving = moving_time(e) / std::max(1e-9, usual.moving_s);
  if (rep != nullptr) {
    pace.stretch = paced_length(*rep) / usual.stretch_s;
  } else if (tells == TurnTells::what_like) {
    pace.stretch = length_of(e) / std::max(1e-9, usual.length_s);
  }
  const bool slow_rep = pace.stretch >= kLong && rep != nullptr && rep->similarity >= kRather;
  const bool flash = by_turn && pace.moving < kFlash && !slow_rep;
  const bool brief_turn = pace.moving < kBriefTurn && pace.stretch < (by_turn ? kLong : kBrief);
  const bool neither_long = pace.moving < kLong && pace.stretch < kLong;
  const bool brief = by_turn && neither_long && pace.moving * pace.stretch < kBothBrief;
  const bool huge = by_turn && e.range > kFarWider * usual.range;
  pace.swings_off = huge && rep != nullptr && rep->by_half_s > 0.0;
  pace.hasty = huge || flash || brief_turn || brief;
  pace.small = rep == nullptr ? e.range < kAsWide * usual.range : rep->size < usual.wide;
  pace.alike = rep != nullptr && !pace.small && rep->similarity >= kAlike &&
               !(flash && pace.stretch < kTakesItsTime);
  pace.quick = pace.hasty && pace.stretch < kTakesItsTime;
  pace.steady =
      rep != nullptr && rep->similarity >= kAlike && pace.stretch >= kLong && pace.moving >= kLong;
  return pace;
}

bool none_is_rep(const Pace& pace) { return pace.small && pace.moving < kGrinds && !pace.steady; }

/// A motion or two from the cluster's end `begin` inwards that lie beyond one far wider than the
/// reps, or beyond steps: who does so has done with the set, or not yet begun it.
template <typename Iterator>
std::ptrdiff_t beyond_others(Iterator begin, Iterator end) {
  bool none = true;
  for (Iterator at = begin; at != end && at - begin <= kLone; ++at) {
    if (none && at->swings_off) return at - begin;
    if (at->hasty && at + 1 != end && (at + 1)->hasty) return at - begin;
    none = none && none_is_rep(*at);
    if (!at->small) break;
  }
  return 0;
}

/// How many of the cluster, from its end `begin` inwards, are handling: a step may look like a rep,
/// but not most of a row of them. Steps begin and end with half a one, which is slower. Who hurries
/// does not do so from one rep to the next.
template <typename Iterator>
std::ptrdiff_t handled_from(Iterator outer, Iterator end) {
  const Iterator begin = outer + beyond_others(outer, end);
  const bool half_step = begin != end && begin->small && begin + 1 != end && (begin + 1)->hasty;
  const Iterator last =
      std::find_if(half_step ? begin + 1 : begin, end, [](const Pace& p) { return !p.hasty; });
  const auto motions = last - begin;
  const bool alone = motions == 1 && begin->quick;  // a row of them may be a client who hurries
  const auto alike =
      alone ? 0 : std::count_if(begin, last, [](const Pace& pace) { return pace.alike; });
  const bool hurries = last != end && motions > 0 && !(last - 1)->swings_off &&
                       last->stretch < kJump * (last - 1)->stretch &&
                       last->moving < kJump * (last - 1)->moving;
  const bool reps = hurries || 2 * alike > motions || motions > kMotions;
  return begin - outer + (reps ? 0 : motions);
}

/// rad, the furthest from where it begins, about whatever axis.
double widest_turn(const SetWork& work, const Excursion& e) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  const Eigen::Index start = nearest_index(work.t, e.start.time_s);
  double widest = 0.0;
  for (Eigen::Index i = start; i <= nearest_index(work.t, e.end.time_s); ++i) {
    widest = std::max(widest, turn_between(strap, start, i).norm());
  }
  return widest;
}

/// rad: a part rep turns the strap as far, at least, where the full ones clearly do.
double least_turn_of(const SetWork& work, const std::vector<Excursion>& full) {
  std::vector<double> turns;
  for (const Excursion& e : full) turns.push_back(widest_turn(work, e));
  const double usual = median_of(std::move(turns));
  return usual < kTurnsClearly ? 0.0 : kHardly * usual;
}

/// A motion or two by themselves, not as wide as the reps and no slower: part reps have full ones
/// beside them.
template <typename Iterator>
bool is_lone(Iterator begin, Iterator end) {
  return end - begin <= kLone && std::all_of(begin, end, none_is_rep);
}

}  // namespace

void leave_out_handling(SetWork& work, TurnTells tells) {
  if (work.excursions.empty()) return;
  const Usual usual(work);
  if (usual.stretch_s <= 0.0) return;  // nothing to hold a motion against
  if (tells == TurnTells::what_like) leave_out_moves(work, usual);
  std::vector<Pace> paces;
  for (const Excursion& e : work.excursions) {
    paces.push_back(pace_of(e, repetition_at(work, e), usual, tells));
  }
  const std::vector<Excursion>& reps = work.excursions;
  const double apart = kApart * usual_length(reps);
  std::vector<Excursion> kept;
  for (auto first = reps.begin(); first != reps.end();) {
    const auto pace = paces.begin() + (first - reps.begin());
    const auto end = std::adjacent_find(first, reps.end(), [&](const auto& a, const auto& b) {
      return b.start.time_s - a.end.time_s > apart;
    });
    const auto next = end == reps.end() ? end : end + 1;
    const auto pace_end = paces.begin() + (next - reps.begin());
    const auto before = handled_from(pace, pace_end);
    const auto after = handled_from(std::make_reverse_iterator(pace_end),
                                    std::make_reverse_iterator(pace + before));
    if (tells == TurnTells::little || !is_lone(pace + before, pace_end - after)) {
      kept.insert(kept.end(), first + before, next - after);
    }
    first = next;
  }
  work.excursions = std::move(kept);
}

void leave_out_stray_parts(SetWork& work) {
  std::vector<Excursion>& reps = work.excursions;
  const std::vector<Excursion> full = full_of(reps);
  if (full.empty()) return;
  const double length_s = usual_length(full);
  const auto follows = [&](std::size_t k) {
    return reps[k].start.time_s - reps[k - 1].end.time_s <= kRest * length_s;
  };
  const double range = usual_range(full);
  const double narrow = range < kTurnsClearly ? 0.0 : kAsWide * range;
  const auto doubtful = [&](const Excursion& e) {
    return e.part || (e.range < narrow && length_of(e) < kSlowYet * length_s);
  };
  std::vector<char> beside;
  for (const Excursion& e : reps) beside.push_back(doubtful(e) ? 0 : 1);
  for (std::size_t k = 1; k < reps.size(); ++k) {
    if (beside[k - 1] != 0 && follows(k)) beside[k] = 1;
  }
  for (std::size_t k = reps.size(); k-- > 1;) {
    if (beside[k] != 0 && follows(k)) beside[k - 1] = 1;
  }
  const double least_turn = least_turn_of(work, full);
  std::vector<Excursion> kept;
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const double length = length_of(reps[k]) / length_s;
    const bool near = beside[k] != 0 || length >= kSlowYet;
    const bool drifts = length > kDrifts || widest_turn(work, reps[k]) < least_turn;
    if (!doubtful(reps[k]) || (near && !(reps[k].part && drifts))) kept.push_back(reps[k]);
  }
  reps = std::move(kept);
}

}  // namespace strapline::dsp
