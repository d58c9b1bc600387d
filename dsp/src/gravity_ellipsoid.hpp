#pragma once

#include <vector>

#include "strapline/dsp/calibration.hpp"

namespace strapline::dsp {

/// Gain and offset that give every pose's specific force the length of gravity, with their
/// uncertainties. Fails where the poses leave something open; `skew_seen` says whether they told
/// the axes' skew.
struct EllipsoidFit {
  TriadCalibration acc;
  bool skew_seen = false;
};
[[nodiscard]] Result<EllipsoidFit> fit_gravity_ellipsoid(const std::vector<StillPose>& poses,
                                                         const CalibrationOptions& options);

/// m/s², RMS of |gain · (reading − offset)| − gravity over the poses.
[[nodiscard]] double gravity_residual(const std::vector<StillPose>& poses,
                                      const TriadCalibration& acc, double gravity);

}  // namespace strapline::dsp
