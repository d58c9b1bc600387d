#pragma once

#include "measure_traces.hpp"

namespace strapline::dsp {

/// Ankle flexion, from the mean of the still part.
[[nodiscard]] MeasureTrace ankle_flexion_trace(const TraceSource& source, Side side);

}  // namespace strapline::dsp
