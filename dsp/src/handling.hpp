#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// What the turn of the strap tells of the reps.
enum class TurnTells {
  little,    ///< it hardly turns
  when,      ///< when they move, if not how far
  what_like  ///< what goes their way is one, if no repetition told of it
};

/// Leaves out of the excursions what hands and feet do before and after the reps: a few motions at
/// a cluster's end or by themselves, much faster than the reps or far wider, and not much like
/// them.
void leave_out_handling(SetWork& work, TurnTells tells);

/// Leaves out part reps that are far from every full one, and fast: steps.
void leave_out_stray_parts(SetWork& work);

}  // namespace strapline::dsp
