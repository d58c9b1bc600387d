#include "strap_shift.hpp"

#include <cmath>

#include <fmt/format.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kCertain = 1.96;

bool is_arm(Segment segment) {
  return segment == Segment::upper_arm || segment == Segment::forearm;
}

bool has_moved(const StrapShift& shift) {
  return shift.tilt > kCertain * shift.tilt_u || std::abs(shift.twist) > kCertain * shift.twist_u;
}

std::string say_shift(const PreparedStrap& strap) {
  const auto degrees = [](double rad) { return rad * display_factor(Unit::radian); };
  return fmt::format(
      "the strap on {} sits differently after the set than before it: tilted by {:.1f} ± {:.1f}°, "
      "turned about the limb by {:.1f} ± {:.1f}°; it has moved, or the client stands differently, "
      "and its uncertainties are the larger for it",
      to_string(strap.placement), degrees(strap.shift->tilt), degrees(strap.shift->tilt_u),
      degrees(strap.shift->twist), degrees(strap.shift->twist_u));
}

}  // namespace

std::optional<StrapShift> strap_shift(const GridMotion& motion, const Eigen::VectorXd& t,
                                      const Interval& before, const Interval& after,
                                      double again_u) {
  const auto first = mean_orientation(motion, t, before),
             second = mean_orientation(motion, t, after);
  if (!first || !second) return std::nullopt;
  // The limb stands as it stood, so what the sensor has turned by, it has turned on the limb.
  const Vector3d turn = log_rotation(first->conjugate() * *second);
  const Vector3d up = first->conjugate() * world_up();
  const Index i = nearest_index(t, 0.5 * (before.from_s + before.to_s));
  const Index k = nearest_index(t, 0.5 * (after.from_s + after.to_s));
  StrapShift shift;
  shift.twist = turn.dot(up);
  shift.tilt = (turn - up * shift.twist).norm();
  shift.tilt_u = std::hypot(again_u, std::hypot(motion.tilt_u[i], motion.tilt_u[k]));
  shift.twist_u = std::hypot(again_u, std::hypot(motion.heading_u[i], motion.heading_u[k]));
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
    strap.shift_u = std::hypot(strap.shift->tilt, strap.shift->twist) / std::sqrt(3.0);
    notes.push_back(say_shift(strap));
  }
  return notes;
}

}  // namespace strapline::dsp
