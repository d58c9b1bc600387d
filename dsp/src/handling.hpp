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
/// a cluster's end or by themselves, much faster than the reps or far wider, and not much like them
/// (one alone, in half of their time, however like); a motion or two beyond those; and, where the
/// turn tells what is like the reps, what is narrower than they are and ends in another posture
/// than it began.
void leave_out_handling(SetWork& work, TurnTells tells);

/// Leaves out part reps that are far from every full one, and fast: steps; narrow ones that are no
/// part reps, too, where the strap clearly turns. And drifts: part reps that take twice as long as
/// a full one, or hardly turn the strap where those clearly do.
void leave_out_stray_parts(SetWork& work);

}  // namespace strapline::dsp
