#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// Leaves out of the excursions what hands and feet do before and after the reps: a few motions at
/// a cluster's end or by themselves, much faster than the reps or far wider, and not much like
/// them. `by_turn`: the turn of the strap shows when the reps move.
void leave_out_handling(SetWork& work, bool by_turn);

}  // namespace strapline::dsp
