#pragma once

#include <vector>

#include "strapline/dsp/segmentation.hpp"

#include "set_work.hpp"

namespace strapline::dsp {

/// The set's reps and the part reps right beside them, which turn the strap too little to be told
/// from sway among all that it does: what goes there and back as slowly as the reps, no longer
/// after one of them (or before) than they follow each other. By the strap's turn, or by its
/// height. So is a full rep that nothing told of and that fills a gap between two, or that goes
/// just their way, and comes home, before or after them; one that is narrower goes just their way
/// and takes as long as the quickest. The reps themselves stay as they are. The range of what is
/// added is the strap's turn about whatever axis.
[[nodiscard]] std::vector<Excursion> with_shallow(const SetWork& work,
                                                  const SegmentationParams& params);

}  // namespace strapline::dsp
