#include "rising_reps.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "height_signal.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;

constexpr double kClearHeight = 0.2;   // rad (10 cm): less is not what makes the rep
constexpr double kAtOnce = 0.6;        // 1, of the usual length: so soon beside a rep, at most
constexpr double kBriefest = 0.6;      // 1, of it: a step is briefer
constexpr double kLongest = 1.8;       // 1, of it
constexpr double kLeastHeight = 0.25;  // 1, of the usual height: less is a shift of weight

/// What rises as the told reps do, and does not lie in them. `height`: n, rad; `usual_s`: how long
/// a told rep takes.
std::vector<Excursion> untold(const SetWork& work, const VectorXd& height,
                              const std::vector<Interval>& stretches,
                              const std::vector<Excursion>& told, double usual_s,
                              const SegmentationParams& params) {
  const double least = kLeastHeight * wide_range(told);
  std::vector<Excursion> out;
  for (const Interval& zone : cluster_zones(work.t, stretches)) {
    for (const Excursion& e : find_excursions(work.t, height, 0.0, zone, params)) {
      const double share = length_of(e) / usual_s;
      const bool taken = std::any_of(told.begin(), told.end(),
                                     [&](const Excursion& rep) { return overlap(e, rep); });
      if (taken || share < kBriefest || share > kLongest) continue;
      if (e.range >= least) out.push_back(e);
    }
  }
  return out;
}

/// The told reps and what follows one of them, or leads to it, at once.
std::vector<Excursion> beside(std::vector<Excursion> told, std::vector<Excursion> others,
                              double usual_s) {
  const double most = kAtOnce * usual_s;
  const auto near = [&](const Excursion& e) {
    return std::any_of(told.begin(), told.end(), [&](const Excursion& rep) {
      return std::max(e.start.time_s - rep.end.time_s, rep.start.time_s - e.end.time_s) <= most;
    });
  };
  while (true) {
    const auto next = std::find_if(others.begin(), others.end(), near);
    if (next == others.end()) break;
    told.push_back(*next);
    others.erase(next);
  }
  std::sort(told.begin(), told.end(),
            [](const Excursion& a, const Excursion& b) { return a.start.time_s < b.start.time_s; });
  return told;
}

}  // namespace

std::vector<Excursion> rising_reps(const SetWork& work, const SegmentationParams& params) {
  const std::vector<Interval> stretches = stretches_of(work.repetitions);
  const VectorXd height = height_from_start(work.straps[work.repeating].motion, work.t, stretches);
  std::vector<Excursion> reps = excursions_in(work.t, height, 0.0, stretches, params);
  if (wide_range(reps) < std::max(kClearHeight, wide_range(work.excursions))) return {};
  const double usual_s = usual_length(reps);
  reps = beside(reps, untold(work, height, stretches, reps, usual_s, params), usual_s);
  mark_part_reps(reps, params);
  for (Excursion& e : reps) {
    const double turn = std::abs(work.range_angle[e.turn_index] -
                                 work.range_angle[nearest_index(work.t, e.start.time_s)]);
    e.range = std::isfinite(turn) ? turn : 0.0;
  }
  return reps;
}

}  // namespace strapline::dsp
