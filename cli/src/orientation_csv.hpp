#pragma once

#include <string>

#include "strapline/cli/analysis.hpp"

namespace strapline::cli {

enum class OrientationKind { streaming, smoothed };

/// placement,t,qw,qx,qy,qz: every sample of every strap, s, unit quaternion that turns sensor
/// coordinates into earth's (z up, each strap's own heading), qw not negative.
[[nodiscard]] std::string orientation_csv(const recordings::Recording& recording,
                                          OrientationKind kind);

/// t and a column per trace that is an angle, degrees, named as in the analysis; empty: unknown.
[[nodiscard]] std::string angles_csv(const dsp::SetAnalysis& analysis);

}  // namespace strapline::cli
