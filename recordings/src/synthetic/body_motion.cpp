#include "strapline/recordings/synthetic/body_motion.hpp"

#include "excursion.hpp"
#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {

SegmentState BodyMotion::segment(dsp::Placement placement, double t) const {
  const SegmentFrame<Jet> frame = pose(placement, t).frame;
  return {value_of(frame.origin), rate_of(frame.origin), second_of(frame.origin),
          value_of(frame.world_from_segment), angular_rate_world(frame.world_from_segment)};
}

}  // namespace strapline::recordings::synthetic
