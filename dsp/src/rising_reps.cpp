#include "rising_reps.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "height_signal.hpp"
#include "median.hpp"
#include "strongest_turn.hpp"
#include "waiting.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kClearHeight = 0.2;  // rad (10 cm): less is not what makes the rep
constexpr double kAtOnce = 0.6;       // 1, of the usual length: so soon beside a rep, at most
constexpr double kApart = RepetitionParams{}.apart;  // 1, of it: what is as wide as they are
constexpr double kBriefest = 0.6;                    // 1, of it: a step is briefer
constexpr double kLongest = 1.8;                     // 1, of it
constexpr double kGrinding = 3.0;                    // 1, of it: what is as wide as they are
constexpr double kClearTurn = 0.25;                  // rad: less tells nothing
constexpr double kTurned = 0.5;                      // 1, of the usual turn: as the wide reps do

/// From the turn of one to that of the next, of the same cluster.
std::vector<Interval> between_turns(const std::vector<Excursion>& reps) {
  const double pause = kApart * usual_length(reps);
  std::vector<Interval> between;
  for (std::size_t k = 1; k < reps.size(); ++k) {
    if (reps[k].start.time_s - reps[k - 1].end.time_s > pause) continue;
    between.push_back({reps[k - 1].turn_out.time_s, reps[k].turn_in.time_s});
  }
  return between;
}

/// Whether the client waits between clusters at the reps' turn, not where they begin and end: then
/// the repetitions were cut at the wrong end.
bool waits_at_turn(const VectorXd& height, const VectorXd& t, const std::vector<Excursion>& reps) {
  const double wide = wide_range(reps), pause = kApart * usual_length(reps);
  Waiting waiting;
  for (std::size_t k = 1; k < reps.size(); ++k) {
    const double from = reps[k - 1].end.time_s, to = reps[k].start.time_s;
    if (to - from <= pause) continue;
    for (Index i = nearest_index(t, from); i <= nearest_index(t, to); ++i) {
      waiting.see(std::abs(height[i]) / wide, std::abs(height[i] - wide) / wide);
    }
  }
  return !waiting.at_start().value_or(true);
}

/// Those as high as the wide ones.
std::vector<Excursion> wide_of(std::vector<Excursion> reps) {
  const double least = kAsWide * wide_range(reps);
  std::erase_if(reps, [&](const Excursion& e) { return e.range < least; });
  return reps;
}

/// Every excursion of the height, cluster by cluster.
std::vector<Excursion> excursions_of(const SetWork& work, const VectorXd& height,
                                     const std::vector<Interval>& reps,
                                     const SegmentationParams& params) {
  std::vector<Excursion> all;
  for (const Interval& zone : cluster_zones(work.t, reps)) {
    const std::vector<Excursion> found = find_excursions(work.t, height, 0.0, zone, params);
    all.insert(all.end(), found.begin(), found.end());
  }
  return all;
}

/// rad, how far the strap turns from an excursion's start to its turn.
double turn_of(const SetWork& work, const Excursion& e) {
  const double turn = std::abs(work.range_angle[e.turn_index] -
                               work.range_angle[nearest_index(work.t, e.start.time_s)]);
  return std::isfinite(turn) ? turn : 0.0;
}

/// What the told reps are like.
struct Usual {
  Usual(const SetWork& of, const std::vector<Excursion>& told)
      : work(of), height(wide_range(told)), length_s(usual_length(told)) {
    std::vector<double> turns;
    for (const Excursion& e : wide_of(told)) turns.push_back(turn_of(work, e));
    turn = median_of(turns);
  }
  /// As high as they are, and turning the strap where they clearly do.
  [[nodiscard]] bool as_wide(const Excursion& e) const {
    const bool turns = turn < kClearTurn || turn_of(work, e) >= kTurned * turn;
    return e.range >= kAsWide * height && turns;
  }

  const SetWork& work;
  double height, length_s;  // rad, s
  double turn = 0.0;        // rad
};

/// Of `all`, what rises as the told reps do, and does not lie in them.
std::vector<Excursion> untold(std::vector<Excursion> all, const std::vector<Excursion>& told,
                              const Usual& usual, double part_share) {
  std::erase_if(all, [&](const Excursion& e) {
    const double share = length_of(e) / usual.length_s;
    return overlaps_any(e, told) || share < kBriefest ||
           share > (usual.as_wide(e) ? kGrinding : kLongest) || e.range < part_share * usual.height;
  });
  return all;
}

/// The told reps and what follows one of them, or leads to it, at once.
std::vector<Excursion> beside(std::vector<Excursion> told, std::vector<Excursion> others,
                              const Usual& usual) {
  const auto near = [&](const Excursion& e) {
    const double most = (usual.as_wide(e) ? kApart : kAtOnce) * usual.length_s;
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
  sort_by_start(told);
  return told;
}

}  // namespace

std::vector<Excursion> rising_reps(const SetWork& work, const SegmentationParams& params) {
  const GridMotion& strap = work.straps[work.repeating].motion;
  const std::vector<Interval> stretches = stretches_of(work.repetitions);
  VectorXd height = height_from_start(strap, work.t, stretches);
  std::vector<Excursion> reps = excursions_in(work.t, height, 0.0, stretches, params);
  if (wide_range(reps) < std::max(kClearHeight, wide_range(work.excursions))) return {};
  std::vector<Interval> ends = stretches;
  const std::vector<Excursion> wide = wide_of(reps);
  // Clusters of one rep each show none from turn to turn.
  const std::vector<Interval> between = between_turns(wide);
  if (!between.empty() && waits_at_turn(height, work.t, wide)) {
    ends = between;
    height = height_from_start(strap, work.t, ends);
    reps = excursions_in(work.t, height, 0.0, ends, params);
  }
  if (reps.empty()) return {};
  const Usual usual(work, reps);
  reps = beside(reps,
                untold(excursions_of(work, height, ends, params), reps, usual, params.part_share),
                usual);
  mark_part_reps(reps, params);
  for (Excursion& e : reps) e.range = turn_of(work, e);
  return reps;
}

}  // namespace strapline::dsp
