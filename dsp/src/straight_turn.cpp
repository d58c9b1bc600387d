#include "straight_turn.hpp"

#include <cmath>
#include <utility>

#include "strapline/dsp/time_grid.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;

constexpr double kStep = 0.1;  // s, between the angles that the way is the sum of
constexpr double kHome = 0.2;  // 1, of its range: so near together it begins and ends

}  // namespace

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

bool goes_straight(const VectorXd& t, const VectorXd& angle, const std::vector<Excursion>& reps) {
  std::vector<double> all;
  for (const Excursion& e : reps) all.push_back(straightness(t, angle, e));
  return median_of(std::move(all)) >= kStraight;
}

}  // namespace strapline::dsp
