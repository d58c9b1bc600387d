#include "turned_reps.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "median.hpp"
#include "straight_turn.hpp"
#include "strongest_turn.hpp"
#include "vertical_velocity.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Figures of ours.
constexpr double kShallow = 0.2;     // 1, of the usual turn: less is fidgeting
constexpr double kRestsFor = 0.3;    // s, before and after
constexpr double kAtRest = 0.1;      // 1, of its turn: what it turns meanwhile, at most
constexpr double kBriefest = 0.6;    // 1, of the usual length
constexpr double kLongest = 3.0;     // 1, of the usual length
constexpr double kRises = 0.07;      // 1, of the usual rise, which grows as a bend's square
constexpr double kLeastRise = 0.04;  // m: what handling tilts shows as a few cm

class ClearTurns {
 public:
  ClearTurns(const SetWork& work, const SegmentationParams& params)
      : work_(work),
        params_(params),
        full_(full_of(work.excursions)),
        up_(vertical_acceleration(work.input.straps[work.repeating].data,
                                  work.straps[work.repeating], work.t)
                .row(0)) {}

  /// In time order, as seen from either end of the told ones: these may have been cut at the wrong
  /// one, which shows one less of each cluster.
  [[nodiscard]] std::vector<Excursion> reps() const {
    std::vector<Excursion> here = reps_from(End::start), there = reps_from(End::turn);
    return there.size() > here.size() ? there : here;
  }

 private:
  enum class End { start, turn };

  [[nodiscard]] std::vector<Excursion> reps_from(End home) const {
    std::vector<Excursion> all = candidates(home);
    std::erase_if(all, [&](const Excursion& e) { return std::abs(rise_of(e)) < kLeastRise; });
    if (all.empty()) return all;
    std::vector<double> turns, rises, lengths;
    double sum = 0.0;
    for (const Excursion& e : all) {
      turns.push_back(e.range);
      rises.push_back(std::abs(rise_of(e)));
      lengths.push_back(length_of(e));
      sum += rise_of(e);
    }
    const double turn = usual_of(std::move(turns), params_.part_share);
    const double rise = std::copysign(usual_of(std::move(rises), params_.part_share), sum);
    const double length = median_of(std::move(lengths));
    std::erase_if(all, [&](const Excursion& e) {
      return e.range < kShallow * turn || rise_of(e) / rise < kRises ||
             length_of(e) < kBriefest * length || length_of(e) > kLongest * length;
    });
    for (Excursion& e : all) e.part = rise_of(e) / rise < params_.part_share;
    return all;
  }

  /// What turns there and back from rest to rest, to either side: a lunge with the other leg turns
  /// a pelvis the other way.
  [[nodiscard]] std::vector<Excursion> candidates(End home) const {
    std::vector<Excursion> all;
    for (const Interval& zone : cluster_zones(work_.t, stretches_of(work_.repetitions))) {
      const Interval within{std::max(zone.from_s, work_.parts.set.from_s),
                            std::min(zone.to_s, work_.parts.set.to_s)};
      if (within.length() <= 0.0) continue;
      const VectorXd from_home = work_.range_angle.array() - home_in(zone, home);
      for (const VectorXd& angle : {from_home, VectorXd(-from_home)}) {
        const std::vector<Excursion> found = straight_in(angle, within);
        all.insert(all.end(), found.begin(), found.end());
      }
    }
    std::sort(all.begin(), all.end(), [](const Excursion& a, const Excursion& b) {
      return a.start.time_s < b.start.time_s;
    });
    return all;
  }

  [[nodiscard]] std::vector<Excursion> straight_in(const VectorXd& angle,
                                                   const Interval& within) const {
    SegmentationParams params = params_;
    params.least_range = kLeastTurn;
    std::vector<Excursion> found = find_excursions(work_.t, angle, 0.0, within, params);
    std::erase_if(found, [&](const Excursion& e) {
      return straightness(work_.t, angle, e) < kStraight ||
             !rests(e.start.time_s - kRestsFor, e.start.time_s, e.range) ||
             !rests(e.end.time_s, e.end.time_s + kRestsFor, e.range);
    });
    return found;
  }

  /// rad, where the told reps of a zone have that end.
  [[nodiscard]] double home_in(const Interval& zone, End end) const {
    std::vector<double> homes;
    for (const Excursion& e : full_) {
      if (e.start.time_s < zone.from_s || e.end.time_s > zone.to_s) continue;
      if (end == End::turn) homes.push_back(work_.range_angle[e.turn_index]);
      if (end == End::turn) continue;
      homes.push_back(work_.range_angle[nearest_index(work_.t, e.start.time_s)]);
      homes.push_back(work_.range_angle[nearest_index(work_.t, e.end.time_s)]);
    }
    return homes.empty() ? work_.start_level : median_of(std::move(homes));
  }

  [[nodiscard]] bool rests(double from_s, double to_s, double range) const {
    const Index first = nearest_index(work_.t, from_s), last = nearest_index(work_.t, to_s);
    const auto x = work_.range_angle.segment(first, last - first + 1);
    return x.maxCoeff() - x.minCoeff() <= kAtRest * range;
  }

  /// m, at an excursion's turn, over the line from its start, where the strap rests, to its end,
  /// where it does so again: two sums of the acceleration, however slow the rep is.
  [[nodiscard]] double rise_of(const Excursion& e) const {
    const Index start = nearest_index(work_.t, e.start.time_s);
    const Index count = nearest_index(work_.t, e.end.time_s) - start;
    const Index turn = e.turn_index - start;
    if (turn <= 0 || turn >= count) return 0.0;
    const double step_s = work_.t[1] - work_.t[0];
    VectorXd v = VectorXd::Zero(count + 1), h = v;
    for (Index i = 1; i <= count; ++i) v[i] = v[i - 1] + step_s * up_[start + i];
    const double drift = v[count] / static_cast<double>(count);
    for (Index i = 1; i <= count; ++i) {
      h[i] = h[i - 1] + step_s * (v[i] - drift * static_cast<double>(i));
    }
    return h[turn] - h[count] * static_cast<double>(turn) / static_cast<double>(count);
  }

  const SetWork& work_;
  const SegmentationParams& params_;
  std::vector<Excursion> full_;
  VectorXd up_;  // n, m/s²
};

bool overlaps_any(const Excursion& e, const std::vector<Excursion>& others) {
  return std::any_of(others.begin(), others.end(),
                     [&](const Excursion& other) { return overlap(e, other); });
}

}  // namespace

std::vector<Excursion> by_clear_turns(const SetWork& work, const SegmentationParams& params) {
  const std::vector<Excursion>& told = work.excursions;
  const std::vector<Excursion> full = full_of(told);
  if (!work.rises || full.empty()) return told;
  std::vector<Excursion> reps = ClearTurns(work, params).reps();
  const bool shows_all = std::all_of(full.begin(), full.end(),
                                     [&](const Excursion& rep) { return overlaps_any(rep, reps); });
  if (!shows_all || full_of(reps).size() < full.size()) return told;
  const std::vector<Excursion> shown = reps;
  std::copy_if(told.begin(), told.end(), std::back_inserter(reps),
               [&](const Excursion& rep) { return !overlaps_any(rep, shown); });
  std::sort(reps.begin(), reps.end(),
            [](const Excursion& a, const Excursion& b) { return a.start.time_s < b.start.time_s; });
  return reps;
}

}  // namespace strapline::dsp
