#pragma once

#include "strapline/recordings/synthetic/arm_motion.hpp"
#include "strapline/recordings/synthetic/squat_motion.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::recordings::synthetic {

/// Every rep as asked: no variation, fatigue, sway or fidgets.
inline SquatSetParams exact_params() {
  SquatSetParams params;
  params.reps = 3;
  params.variation = {0.0, 0.0, 0.0, 0.0, 0.0};
  params.fatigue = {0.0, 0.0, 0.0};
  params.sway = params.knee_wander = 0.0;
  params.fidgets = 0;
  params.parts.align_knee_sd = 0.0;
  return params;
}

inline SoftTissue no_soft_tissue() { return scaled(SoftTissue{}, 0.0); }

}  // namespace strapline::recordings::synthetic
