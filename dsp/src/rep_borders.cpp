#include "rep_borders.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;

constexpr double kBeside = 1.0;      // 1, of the usual length: so far from the old borders
constexpr double kTurnMargin = 0.1;  // 1, of it: the turn may lie beside the old one
constexpr double kLeastTurn = 0.03;  // rad: a smaller turn may be sway
constexpr double kLeastShare = 0.1;  // 1, of the usual range: a smaller turn may be, too
constexpr double kStraight = 0.95;   // 1, of the way turned: there and back, and hardly more
constexpr double kHome = 0.2;        // 1, of its range: so near together it begins and ends
constexpr double kStep = 0.1;        // s, between the angles that the way is the sum of

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

/// 1, how far it is to an excursion's turn and back per way that the angle goes: 1 where it goes
/// there and back, less where it dithers; 0 where it does not come back to where it began.
double straightness(const VectorXd& t, const VectorXd& angle, const Excursion& e) {
  const auto at = [&](double time_s) { return angle[nearest_index(t, time_s)]; };
  const double first = at(e.start.time_s), last = at(e.end.time_s);
  if (!(std::abs(last - first) <= kHome * e.range)) return 0.0;
  double way = 0.0, before = first;
  for (double time_s = e.start.time_s + kStep; time_s < e.end.time_s; time_s += kStep) {
    const double here = at(time_s);
    way += std::abs(here - before);
    before = here;
  }
  way += std::abs(last - before);
  return way > 0.0 ? (2.0 * angle[e.turn_index] - first - last) / way : 0.0;
}

/// Whether the turn shows most of the reps as they are.
bool goes_straight(const SetWork& work, const std::vector<Excursion>& reps) {
  std::vector<double> all;
  for (const Excursion& e : reps) all.push_back(straightness(work.t, work.range_angle, e));
  return median_of(std::move(all)) >= kStraight;
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
  if (!goes_straight(work, found)) return;
  const double range = wide_range(found);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    if (!shows(work, found[k], reps[k], range)) continue;
    const bool part = reps[k].part;
    reps[k] = found[k];
    reps[k].part = part;
  }
}

}  // namespace strapline::dsp
