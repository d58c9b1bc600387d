#pragma once

#include "grid_rate.hpp"
#include "set_work.hpp"

namespace strapline::dsp {

/// Fills the grid, the straps' motion on it, the recording's parts and what the still part's length
/// says of its sway. A still part that no one marked is found in the motion and only then is what
/// tilts are judged against, which takes a second pass over the straps.
void prepare_straps(SetWork& work);

}  // namespace strapline::dsp
