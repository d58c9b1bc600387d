#include "rep_views.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "strapline/dsp/rotation.hpp"

#include "height_signal.hpp"
#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Figures of ours.
constexpr double kLeastHeight = 0.05;  // rad (2.5 cm): a height drifts as far
constexpr double kShallow = 0.2;       // 1, of the usual turn: less is fidgeting
constexpr double kLow = 0.07;          // 1, of the usual height, which grows as a bend's square

const GridMotion& strap_of(const SetWork& work) { return work.straps[work.repeating].motion; }

double usual_range(const SetWork& work, const RepView& view, const std::vector<Excursion>& full) {
  std::vector<double> ranges;
  for (const Excursion& e : full) {
    const Index start = nearest_index(work.t, e.start.time_s);
    const double range = view.from_home({e.turn_index, e.turn_index}, start)[0];
    ranges.push_back(std::isfinite(range) ? range : 0.0);
  }
  return median_of(std::move(ranges));
}

}  // namespace

Eigen::Vector3d turn_between(const GridMotion& strap, Index home, Index i) {
  const auto& q = strap.q_world_from_sensor;
  return log_rotation(q[static_cast<std::size_t>(home)].conjugate() *
                      q[static_cast<std::size_t>(i)]);
}

RepView view_of_turns(const SetWork& work, const std::vector<Excursion>& full, double part_share) {
  RepView view;
  view.from_home = [&strap = strap_of(work)](Samples samples, Index home) {
    VectorXd turns(samples.last - samples.first + 1);
    for (Index k = 0; k < turns.size(); ++k) {
      const Index i = samples.first + k;
      turns[k] = strap.known[static_cast<std::size_t>(i)] != 0
                     ? turn_between(strap, home, i).norm()
                     : std::numeric_limits<double>::quiet_NaN();
    }
    return turns;
  };
  view.range = usual_range(work, view, full);
  view.least = kShallow * view.range;
  view.most = part_share * view.range;
  view.shows_full = true;
  return view;
}

RepView view_of_heights(const SetWork& work, const std::vector<Excursion>& reps,
                        const std::vector<Excursion>& full, double part_share) {
  std::vector<Interval> stretches;
  for (const Excursion& e : reps) stretches.push_back({e.start.time_s, e.end.time_s});
  RepView view;
  view.from_home = [height = height_from_start(strap_of(work), work.t, stretches)](Samples samples,
                                                                                   Index home) {
    VectorXd rises = height.segment(samples.first, samples.last - samples.first + 1);
    rises.array() -= height[home];
    return rises;
  };
  view.range = usual_range(work, view, full);
  view.least = std::max(kLeastHeight, kLow * view.range);
  // Where the turn tells full reps from part reps, a part rep may rise further.
  view.most = (work.rises ? part_share : kAsWide) * view.range;
  return view;
}

}  // namespace strapline::dsp
