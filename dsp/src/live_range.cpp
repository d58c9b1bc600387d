#include "live_range.hpp"

#include <algorithm>

#include "strapline/dsp/segmentation.hpp"

#include "range_angle.hpp"
#include "set_work.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// The lower decile within the interval, of values on the grid.
double lower_decile(const std::vector<double>& value, const LiveGrid& grid,
                    const Interval& within) {
  const auto n = static_cast<Index>(value.size());
  const Index first = std::clamp<Index>(grid.at(within.from_s), 0, n - 1);
  const Index last = std::clamp<Index>(grid.at(within.to_s), first, n - 1);
  const Index count = last - first + 1;
  const VectorXd t = grid.t().segment(first, count);
  return guess_start_level(t, Eigen::Map<const VectorXd>(value.data() + first, count),
                           {t[0], t[count - 1]});
}

}  // namespace

bool carries_range(Segment segment, RangeAngle angle) {
  const std::vector<Segment> segments = range_segments(angle);
  return std::find(segments.begin(), segments.end(), segment) != segments.end();
}

LiveRange::LiveRange(const std::vector<Placement>& straps, const MovementSpec& movement) {
  input_.movement = movement;
  for (const Placement placement : straps) {
    input_.straps.push_back({placement, {}, {}});
    PreparedStrap strap;
    strap.placement = placement;
    straps_.push_back(std::move(strap));
  }
}

bool LiveRange::align(const std::vector<LiveMotion>& motions, const LiveGrid& grid, Index end,
                      const RecordingParts& parts) {
  angles_.clear();
  if (!parts.still || !parts.align || end < 2) return false;
  SetWork work = work_on(input_, grid.t().head(end), straps_);
  for (std::size_t k = 0; k < motions.size(); ++k) {
    work.straps[k].motion = motions[k].stretch(0, end);
    work.straps[k].alignment.reset();
  }
  work.parts.still = parts.still;
  work.parts.align = parts.align;
  work.parts.set = {grid.t()[end - 1], grid.t()[end - 1]};
  align_for_range(work);
  for (OwnAngle& angle : own_range_angles(work)) {
    Angle kept{angle.side, {angle.value.begin(), angle.value.end()}, 0.0, 0.0};
    kept.standing_level = lower_decile(kept.value, grid, *parts.still);
    kept.start_level = kept.standing_level;
    angles_.push_back(std::move(kept));
  }
  straps_ = std::move(work.straps);
  return !angles_.empty();
}

void LiveRange::extend(const std::vector<LiveMotion>& motions, const LiveGrid& grid, Index end) {
  const auto from = static_cast<Index>(angles_.empty() ? 0 : angles_.front().value.size());
  if (angles_.empty() || from >= end) return;
  for (std::size_t k = 0; k < motions.size(); ++k) {
    straps_[k].motion = motions[k].stretch(from, end);
    straps_[k].stance.resize(0);  // a turn about the vertical hardly shows in a range angle
    straps_[k].stance_u.resize(0);
    if (straps_[k].alignment) follow_segment(straps_[k]);
  }
  SetWork work = work_on(input_, grid.t().segment(from, end - from), std::move(straps_));
  const std::vector<OwnAngle> angles = own_range_angles(work);
  for (std::size_t k = 0; k < angles.size(); ++k) {
    angles_[k].value.insert(angles_[k].value.end(), angles[k].value.begin(), angles[k].value.end());
  }
  straps_ = std::move(work.straps);
}

void LiveRange::settle_start(const LiveGrid& grid, const Interval& set) {
  const RangeAngle wanted = input_.movement.range_angle;
  const bool arms = wanted == RangeAngle::elbow_flexion || wanted == RangeAngle::elbow_extension;
  if (!arms && wanted != RangeAngle::working_thigh_depth) return;
  for (Angle& angle : angles_) {
    const double seen = lower_decile(angle.value, grid, set);
    angle.start_level = arms ? seen : std::max(seen, angle.standing_level);
  }
}

bool LiveRange::shows_angle(std::size_t k) const {
  return straps_[k].alignment &&
         carries_range(straps_[k].placement.segment, input_.movement.range_angle);
}

}  // namespace strapline::dsp
