#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// The reps of a movement that is known only by its repeating: one in each of the repetitions, by
/// the range angle. A set of a named movement whose own angle is not to be had is left out where
/// what repeats goes otherwise than its reps do. The repeating strap's vertical velocity becomes
/// that between rests (rest_velocity).
void segment_repetitions(SetWork& work);

}  // namespace strapline::dsp
