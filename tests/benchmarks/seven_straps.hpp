#pragma once

#include "strapline/recordings/recording.hpp"

namespace strapline::benchmarks {

/// A synthetic set of about 60 s on seven straps at 200 Hz.
const recordings::Recording& seven_strap_set();

}  // namespace strapline::benchmarks
