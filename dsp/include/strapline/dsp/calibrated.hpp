#pragma once

#include "strapline/dsp/calibration.hpp"

namespace strapline::dsp {

/// One reading corrected, as `apply` does it with a whole series; SI units.
[[nodiscard]] inline Eigen::Vector3d calibrated(const TriadCalibration& triad,
                                                const Eigen::Vector3d& reading) {
  return triad.gain * (reading - triad.offset);
}

}  // namespace strapline::dsp
