#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// Aligns the straps and finds the angle whose excursions are the reps: the movement's own, or,
/// where the straps worn do not show it, the turn of the strap that repeats most.
void find_range_angle(SetWork& work);

/// The movement's own angle again, after the straps were aligned better.
void refresh_range_angle(SetWork& work);

}  // namespace strapline::dsp
