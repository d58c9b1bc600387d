#pragma once

#include "strapline/dsp/set_analysis.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp::testing {

/// A set of whatever repeats, seen by this strap alone at 100 Hz.
inline SetInput free_set(const SwingingStrap& strap, double seconds) {
  SetInput input;
  input.straps = {{{Segment::other, Side::middle}, strap.record(seconds, 100.0), {}}};
  input.movement = {"free", RangeAngle::strongest_turn, FirstPhase::lowering, {}, {}, 0.14};
  return input;
}

}  // namespace strapline::dsp::testing
