#include "working_leg.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "excursions.hpp"
#include "measure_traces.hpp"
#include "median.hpp"

namespace strapline::dsp {

using Eigen::Index;
using Eigen::VectorXd;

VectorXd thigh_swing(const PreparedStrap& strap) {
  VectorXd depth = VectorXd::Constant(static_cast<Index>(strap.q_world_from_segment.size()),
                                      std::numeric_limits<double>::quiet_NaN());
  for (Index i = 0; i < depth.size(); ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (strap.motion.known[at] == 0) continue;
    // How far the segment's X and Y point up: the turn about Z between them.
    const Eigen::Vector3d up =
        strap.q_world_from_segment[at].conjugate() * Eigen::Vector3d::UnitY();
    depth[i] = std::atan2(up.x(), up.y()) - std::numbers::pi / 2.0;
  }
  return depth;
}

void keep_the_larger(std::vector<Excursion>& all) {
  std::vector<Excursion> kept;
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.range > b.range; });
  for (const Excursion& e : all) {
    const bool free = std::none_of(kept.begin(), kept.end(), [&](const Excursion& k) {
      const double turn = 0.5 * (e.turn_in.time_s + e.turn_out.time_s);
      return overlap(e, k) && turn > k.start.time_s && turn < k.end.time_s;
    });
    if (free) kept.push_back(e);
  }
  sort_by_start(kept);
  all = std::move(kept);
}

std::vector<SidedThigh> sided_thighs(const std::vector<PreparedStrap>& straps, const VectorXd& t,
                                     const ResolvedParts& parts) {
  std::vector<SidedThigh> thighs;
  for (const Side side : {Side::left, Side::right}) {
    const PreparedStrap* strap = strap_at(straps, {Segment::thigh, side});
    if (strap == nullptr || !strap->alignment) continue;
    SidedThigh thigh{side, thigh_swing(*strap), 0.0};
    // A split stance is taken up after standing; standing is what a lunge starts from, whose other
    // leg swings behind plumb.
    thigh.start_level = guess_start_level(t, thigh.depth, parts.set);
    if (parts.still) {
      thigh.start_level =
          std::max(thigh.start_level, guess_start_level(t, thigh.depth, *parts.still));
    }
    thighs.push_back(std::move(thigh));
  }
  return thighs;
}

VectorXd working_depth(const std::vector<SidedThigh>& thighs) {
  VectorXd depth = thighs.front().depth;
  for (const SidedThigh& thigh : thighs) {
    for (Index i = 0; i < depth.size(); ++i) depth[i] = std::fmax(depth[i], thigh.depth[i]);
  }
  return depth;
}

std::vector<Excursion> working_excursions(const std::vector<SidedThigh>& thighs, const VectorXd& t,
                                          const Interval& within,
                                          const SegmentationParams& params) {
  std::vector<Excursion> all;
  for (const SidedThigh& thigh : thighs) {
    for (Excursion e : find_excursions(t, thigh.depth, thigh.start_level, within, params)) {
      e.side = thigh.side;
      all.push_back(e);
    }
  }
  return all;
}

}  // namespace strapline::dsp
