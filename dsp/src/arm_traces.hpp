#pragma once

#include "measure_traces.hpp"

namespace strapline::dsp {

// Traces of the upper body's measures (measures.md), each with its uncertainty from sensor,
// alignment, heading and soft tissue. `side` is the middle for body_line and back_rounding.
[[nodiscard]] MeasureTrace elbow_flexion_trace(const TraceSource& source, Side side);
[[nodiscard]] MeasureTrace elbow_flare_trace(const TraceSource& source, Side side);
[[nodiscard]] MeasureTrace elbow_plane_trace(const TraceSource& source, Side side);
[[nodiscard]] MeasureTrace forearm_tilt_trace(const TraceSource& source, Side side);
[[nodiscard]] MeasureTrace body_line_trace(const TraceSource& source, Side side);
[[nodiscard]] MeasureTrace back_rounding_trace(const TraceSource& source, Side side);

}  // namespace strapline::dsp
