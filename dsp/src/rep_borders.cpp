#include "rep_borders.hpp"

#include <algorithm>
#include <vector>

#include "straight_turn.hpp"

namespace strapline::dsp {
namespace {

constexpr double kBeside = 1.0;      // 1, of the usual length: so far from the old borders
constexpr double kTurnMargin = 0.1;  // 1, of it: the turn may lie beside the old one
constexpr double kLeastShare = 0.1;  // 1, of the usual range: a smaller turn may be, too

ExcursionPlace place_of(const std::vector<Excursion>& reps, std::size_t k, double usual) {
  const Excursion& e = reps[k];
  const double margin = kTurnMargin * usual;
  double from = e.start.time_s - kBeside * usual, to = e.end.time_s + kBeside * usual;
  if (k > 0) from = std::max(from, reps[k - 1].turn_out.time_s);
  if (k + 1 < reps.size()) to = std::min(to, reps[k + 1].turn_in.time_s);
  return {{std::max(e.start.time_s, e.turn_in.time_s - margin),
           std::min(e.end.time_s, e.turn_out.time_s + margin)},
          {from, to}};
}

/// Whether the new borders are of the same rep as the old ones, and told by what shows it.
bool shows(const SetWork& work, const Excursion& now, const Excursion& before, double usual_range) {
  const double turn = 0.5 * (now.turn_in.time_s + now.turn_out.time_s);
  return now.range >= std::max(kLeastTurn, kLeastShare * usual_range) &&
         turn > before.start.time_s && turn < before.end.time_s &&
         straightness(work.t, work.range_angle, now) >= kStraight;
}

}  // namespace

void find_borders_anew(SetWork& work, const SegmentationParams& params) {
  std::vector<Excursion>& reps = work.excursions;
  if (reps.empty()) return;
  const double usual = usual_length(reps);
  std::vector<ExcursionPlace> places;
  for (std::size_t k = 0; k < reps.size(); ++k) places.push_back(place_of(reps, k, usual));
  const std::vector<Excursion> found =
      excursions_at(work.t, work.range_angle, work.start_level, places, params);
  if (!goes_straight(work.t, work.range_angle, found)) return;
  const double range = wide_range(found);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    if (!shows(work, found[k], reps[k], range)) continue;
    const bool part = reps[k].part;
    reps[k] = found[k];
    reps[k].part = part;
  }
}

}  // namespace strapline::dsp
