#include "strapline/recordings/synthetic/body_motion.hpp"

#include "excursion.hpp"
#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {

SegmentState BodyMotion::segment(dsp::Placement placement, double t) const {
  const SegmentFrame<Jet> frame = pose(placement, t).frame;
  return {value_of(frame.origin), rate_of(frame.origin), second_of(frame.origin),
          value_of(frame.world_from_segment), angular_rate_world(frame.world_from_segment)};
}

PosedSegment BodyMotion::hips(double t) const {
  PosedSegment middle = pose({dsp::Segment::thigh, dsp::Side::left}, t);
  const PosedSegment right = pose({dsp::Segment::thigh, dsp::Side::right}, t);
  middle.frame.origin = (middle.frame.origin + right.frame.origin) * Jet(0.5);
  return middle;
}

std::vector<SpareTime> BodyMotion::spare_times_of(const std::vector<Excursion>& excursions,
                                                  dsp::Interval before, dsp::Interval after) {
  constexpr double kPause = 5.0;  // s; a shorter hold belongs to the reps
  std::vector<SpareTime> spare;
  if (before.length() > 0.0) spare.push_back({SpareTime::Where::before_set, before});
  for (std::size_t k = 1; k < excursions.size(); ++k) {
    const dsp::Interval hold{excursions[k - 1].end(), excursions[k].start};
    if (excursions[k - 1].align || hold.length() < kPause) continue;
    spare.push_back({SpareTime::Where::within_set, hold});
  }
  if (after.length() > 0.0) spare.push_back({SpareTime::Where::after_set, after});
  return spare;
}

}  // namespace strapline::recordings::synthetic
