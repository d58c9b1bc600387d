#include "rest_to_rest.hpp"

#include <algorithm>
#include <utility>

#include "median.hpp"
#include "straight_turn.hpp"
#include "strongest_turn.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Figures of ours.
constexpr double kRestsFor = 0.3;  // s, before and after
constexpr double kAtRest = 0.1;    // 1, of its turn: what it turns meanwhile, at most

/// rad, where the told full reps of a zone have that end.
double home_in(const SetWork& work, const Interval& zone, RepEnd end) {
  std::vector<double> homes;
  for (const Excursion& e : work.excursions) {
    if (e.part || e.start.time_s < zone.from_s || e.end.time_s > zone.to_s) continue;
    if (end == RepEnd::turn) homes.push_back(work.range_angle[e.turn_index]);
    if (end == RepEnd::turn) continue;
    homes.push_back(work.range_angle[nearest_index(work.t, e.start.time_s)]);
    homes.push_back(work.range_angle[nearest_index(work.t, e.end.time_s)]);
  }
  return homes.empty() ? work.start_level : median_of(std::move(homes));
}

bool rests(const VectorXd& t, const VectorXd& angle, const Interval& within, double range) {
  const Index first = nearest_index(t, within.from_s), last = nearest_index(t, within.to_s);
  const auto x = angle.segment(first, last - first + 1);
  return x.maxCoeff() - x.minCoeff() <= kAtRest * range;
}

std::vector<Excursion> straight_in(const VectorXd& t, const VectorXd& angle, const Interval& within,
                                   SegmentationParams params) {
  params.least_range = kLeastTurn;
  std::vector<Excursion> found = find_excursions(t, angle, 0.0, within, params);
  std::erase_if(found, [&](const Excursion& e) {
    const Interval before{e.start.time_s - kRestsFor, e.start.time_s};
    const Interval after{e.end.time_s, e.end.time_s + kRestsFor};
    return straightness(t, angle, e) < kStraight || !rests(t, angle, before, e.range) ||
           !rests(t, angle, after, e.range);
  });
  return found;
}

}  // namespace

std::vector<Excursion> rest_to_rest(const SetWork& work, RepEnd home,
                                    const SegmentationParams& params) {
  std::vector<Excursion> all;
  for (const Interval& zone : cluster_zones(work.t, stretches_of(work.repetitions))) {
    const Interval within{std::max(zone.from_s, work.parts.set.from_s),
                          std::min(zone.to_s, work.parts.set.to_s)};
    if (within.length() <= 0.0) continue;
    const VectorXd from_home = work.range_angle.array() - home_in(work, zone, home);
    for (const VectorXd& angle : {from_home, VectorXd(-from_home)}) {
      const std::vector<Excursion> found = straight_in(work.t, angle, within, params);
      all.insert(all.end(), found.begin(), found.end());
    }
  }
  sort_by_start(all);
  return all;
}

}  // namespace strapline::dsp
