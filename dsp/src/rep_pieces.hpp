#pragma once

#include "set_work.hpp"

namespace strapline::dsp {

/// Of two excursions that share more than a quarter of the shorter one's time, the one in whose
/// repetition the strap moves far less is a piece of the other, and is left out.
void leave_out_pieces(SetWork& work);

}  // namespace strapline::dsp
