#pragma once

#include "strap_motion.hpp"

namespace strapline::recordings::synthetic {

/// One strap's recording and what it drew.
struct SyntheticStrap {
  StrapRecord record;
  StrapTruth truth;
  StrapMount mount;
};

/// Samples the strap over the whole plan: true motion, gain, bias with its walk, white noise,
/// rounding to counts, stop at 16 bits; ticks of a skewed device clock, and its clock fit. A strap
/// that is not `worn` has the motion's own axes; its sensor is the same.
[[nodiscard]] SyntheticStrap record_strap(const BodyMotion& motion, dsp::Placement placement,
                                          const StrapSetup& setup, const SensorPart& part,
                                          bool worn = true);

}  // namespace strapline::recordings::synthetic
