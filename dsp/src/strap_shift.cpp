#include "strap_shift.hpp"

#include <cmath>

#include <fmt/format.h>

#include "strapline/dsp/alignment.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;

/// u: a tilt has two parts, so chance goes beyond it with exp(−3.6²/2) = 0.15 %, and in one set of
/// six straps in a hundred.
constexpr double kCertain = 3.6;

bool is_arm(Segment segment) {
  return segment == Segment::upper_arm || segment == Segment::forearm;
}

bool has_moved(const StrapShift& shift) { return shift.tilt > kCertain * shift.u; }

std::string say_shift(const PreparedStrap& strap) {
  const auto degrees = [](double rad) { return rad * display_factor(Unit::radian); };
  return fmt::format(
      "the strap on {} sits differently after the set than before it, tilted by {:.1f} ± {:.1f}°: "
      "it "
      "has moved, or the client stands differently, and its uncertainties are the larger for it",
      to_string(strap.placement), degrees(strap.shift->tilt), degrees(strap.shift->u));
}

}  // namespace

std::optional<StrapShift> strap_shift(const GridMotion& motion, const Eigen::VectorXd& t,
                                      const Interval& before, const Interval& after,
                                      double again_u) {
  const auto first = up_in_sensor(motion, t, before), second = up_in_sensor(motion, t, after);
  if (!first || !second) return std::nullopt;
  const Index i = nearest_index(t, 0.5 * (before.from_s + before.to_s));
  const Index k = nearest_index(t, 0.5 * (after.from_s + after.to_s));
  // The limb stands as it stood, so what up has turned by, the strap has turned on the limb.
  StrapShift shift;
  shift.tilt = std::atan2(first->cross(*second).norm(), first->dot(*second));
  shift.u = std::hypot(again_u, std::hypot(motion.tilt_u[i], motion.tilt_u[k]));
  return shift;
}

std::vector<std::string> find_shifts(std::vector<PreparedStrap>& straps, const Eigen::VectorXd& t,
                                     const RecordingParts& parts, const ErrorBudget& budget) {
  std::vector<std::string> notes;
  if (!parts.still || !parts.still_after) return notes;
  for (PreparedStrap& strap : straps) {
    const double again =
        is_arm(strap.placement.segment) ? budget.hanging_again : budget.standing_again;
    strap.shift = strap_shift(strap.motion, t, *parts.still, *parts.still_after, again);
    if (!strap.shift || !has_moved(*strap.shift)) continue;
    // Somewhere between nothing and all of it at any time of the set: a third of its square.
    strap.shift_u = strap.shift->tilt / std::sqrt(3.0);
    notes.push_back(say_shift(strap));
  }
  return notes;
}

}  // namespace strapline::dsp
