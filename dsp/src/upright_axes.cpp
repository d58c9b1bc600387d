#include "upright_axes.hpp"

#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "strapline/dsp/time_grid.hpp"

#include "measure_traces.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kUpright = 0.866;  // cos 30°

/// RMS over the reps of how far the segment's Z points up or down, 1: upright; 0 without a rep.
double uprightness(const PreparedStrap& strap, const Eigen::VectorXd& t,
                   const std::vector<Excursion>& excursions) {
  double squares = 0.0, count = 0.0;
  for (const Excursion& e : excursions) {
    const Index last = nearest_index(t, e.end.time_s);
    for (Index i = nearest_index(t, e.start.time_s); i <= last; ++i) {
      const auto at = static_cast<std::size_t>(i);
      if (strap.motion.known[at] == 0) continue;
      squares += std::pow((strap.q_world_from_segment[at] * Vector3d::UnitZ()).y(), 2);
      count += 1.0;
    }
  }
  return count > 0.0 ? std::sqrt(squares / count) : 0.0;
}

struct Joint {
  std::string_view name;
  Segment upper, lower;
};

}  // namespace

std::vector<std::string> upright_axes(const std::vector<PreparedStrap>& straps,
                                      const Eigen::VectorXd& t,
                                      const std::vector<Excursion>& excursions) {
  std::vector<std::string> notes;
  for (const Joint& joint : {Joint{"knee", Segment::thigh, Segment::shank},
                             Joint{"elbow", Segment::upper_arm, Segment::forearm}}) {
    for (const Side side : {Side::left, Side::right}) {
      const PreparedStrap* upper = strap_at(straps, {joint.upper, side});
      const PreparedStrap* lower = strap_at(straps, {joint.lower, side});
      if (upper == nullptr || lower == nullptr || !upper->alignment || !lower->alignment) continue;
      if (uprightness(*upper, t, excursions) < kUpright) continue;
      notes.push_back(fmt::format(
          "the axis of the {} {} stays near vertical in the reps: gravity does not show its "
          "flexion, which rests on the straps' headings and is less certain",
          side_name(side), joint.name));
    }
  }
  return notes;
}

}  // namespace strapline::dsp
