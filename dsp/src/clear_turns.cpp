#include "clear_turns.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "median.hpp"
#include "rest_to_rest.hpp"
#include "vertical_velocity.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Figures of ours.
constexpr double kShallow = 0.2;     // 1, of the usual turn: less is fidgeting
constexpr double kBriefest = 0.6;    // 1, of the usual length
constexpr double kLongest = 3.0;     // 1, of the usual length
constexpr double kRises = 0.07;      // 1, of the usual rise, which grows as a bend's square
constexpr double kLeastRise = 0.04;  // m: what handling tilts shows as a few cm

class ClearTurns {
 public:
  ClearTurns(const SetWork& work, const SegmentationParams& params)
      : work_(work),
        params_(params),
        up_(vertical_acceleration(work.input.straps[work.repeating].data,
                                  work.straps[work.repeating], work.t)
                .row(0)) {}

  /// In time order, as seen from either end of the told ones: these may have been cut at the wrong
  /// one, which shows one less of each cluster.
  [[nodiscard]] std::vector<Excursion> reps() const {
    std::vector<Excursion> here = reps_from(RepEnd::start), there = reps_from(RepEnd::turn);
    return there.size() > here.size() ? there : here;
  }

 private:
  [[nodiscard]] std::vector<Excursion> reps_from(RepEnd home) const {
    std::vector<Excursion> all = rest_to_rest(work_, home, params_);
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
  VectorXd up_;  // n, m/s²
};

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
  sort_by_start(reps);
  return reps;
}

}  // namespace strapline::dsp
