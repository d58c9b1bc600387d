#include "handling.hpp"

#include <algorithm>
#include <iterator>
#include <utility>
#include <vector>

#include "median.hpp"

namespace strapline::dsp {
namespace {

// Figures of ours, found on synthetic sets and on the labelled real ones.
constexpr double kApart = RepetitionParams{}.apart;
constexpr double kBriefTurn = 0.6;  // 1, of the usual moving time of the strap's turn
constexpr double kBrief = 0.5;      // 1, of the usual length of a repetition
constexpr double kLong = 0.8;       // 1, of it: nothing is brief about it
constexpr double kAlike = RepetitionParams{}.stray_similarity;
constexpr double kWide = 0.75;          // 1, of the wide repetitions' size: as wide as they are
constexpr std::ptrdiff_t kMotions = 6;  // more of them in a row are a client who hurries

/// s, without the hold at the turn, which a client may leave out.
double moving_time(const Excursion& e) {
  return e.turn_in.time_s - e.start.time_s + e.end.time_s - e.turn_out.time_s;
}

struct Pace {
  bool hasty = false;  ///< much faster than is usual
  bool alike = false;  ///< much like the set's, and as wide
};

/// What is usual of the wide reps: what hands and feet do is often smaller, and there may be as
/// much of it.
struct Usual {
  explicit Usual(const SetWork& work) {
    std::vector<double> moving, stretch, size;
    for (const Repetition& rep : work.repetitions) size.push_back(rep.size);
    wide = kWide * quantile_of(size, 0.75);
    for (const Excursion& e : work.excursions) {
      const Repetition* rep = repetition_at(work, e);
      if (rep == nullptr || rep->size < wide) continue;
      moving.push_back(moving_time(e));
      stretch.push_back(rep->to_s - rep->from_s);
    }
    moving_s = quantile_of(moving, 0.5);
    stretch_s = quantile_of(stretch, 0.5);
  }

  double moving_s = 0.0;   // of an excursion
  double stretch_s = 0.0;  // of a repetition
  double wide = 0.0;       // rad, the least size
};

/// Neither time tells alone: a client may leave out the hold, or hurry one way.
Pace pace_of(const Excursion& e, const Repetition* rep, const Usual& usual, bool by_turn) {
  const double stretch = rep == nullptr ? 0.0 : rep->to_s - rep->from_s;
  const bool hasty = moving_time(e) < kBriefTurn * usual.moving_s &&
                     stretch < (by_turn ? kLong : kBrief) * usual.stretch_s;
  const bool alike = rep != nullptr && rep->similarity >= kAlike && rep->size >= usual.wide;
  return {hasty, alike};
}

/// How many of the cluster, from its end `begin` inwards, are handling: a step may look like a rep,
/// but not most of a row of them.
template <typename Iterator>
std::ptrdiff_t handled_from(Iterator begin, Iterator end) {
  const Iterator last = std::find_if(begin, end, [](const Pace& pace) { return !pace.hasty; });
  const auto motions = last - begin;
  const auto alike = std::count_if(begin, last, [](const Pace& pace) { return pace.alike; });
  return 2 * alike > motions || motions > kMotions ? 0 : motions;
}

}  // namespace

void leave_out_handling(SetWork& work, bool by_turn) {
  const std::vector<Excursion>& reps = work.excursions;
  if (reps.empty()) return;
  const Usual usual(work);
  std::vector<Pace> paces;
  std::vector<double> lengths;
  for (const Excursion& e : reps) {
    paces.push_back(pace_of(e, repetition_at(work, e), usual, by_turn));
    lengths.push_back(length_of(e));
  }
  const double apart = kApart * median_of(lengths);
  std::vector<Excursion> kept;
  for (auto first = reps.begin(); first != reps.end();) {
    const auto end = std::adjacent_find(first, reps.end(), [&](const auto& a, const auto& b) {
      return b.start.time_s - a.end.time_s > apart;
    });
    const auto next = end == reps.end() ? end : end + 1;
    const auto pace = paces.begin() + (first - reps.begin());
    const auto pace_end = paces.begin() + (next - reps.begin());
    const auto before = handled_from(pace, pace_end);
    const auto after = handled_from(std::make_reverse_iterator(pace_end),
                                    std::make_reverse_iterator(pace + before));
    kept.insert(kept.end(), first + before, next - after);
    first = next;
  }
  work.excursions = std::move(kept);
}

}  // namespace strapline::dsp
