#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/segmentation.hpp"

#include "segment_motion.hpp"

namespace strapline::dsp {

/// A strap that turned on the limb in mid-set.
struct StrapSlip {
  int after_rep = 0;     ///< reps before it
  double tilt = 0.0;     ///< rad, of the limb's long axis in the strap, in size
  double tilt_u = 0.0;   ///< rad, 1 sigma
  double twist = 0.0;    ///< rad, about the long axis, in size
  double twist_u = 0.0;  ///< rad, 1 sigma; π where the reps hardly tilt the strap
};

/// Straps that turned on the limb between two reps. Each rep shows where up is in the strap in the
/// start posture, and the axis about which it tips on the way to the turn; both come from the
/// inclination alone, so that no heading enters. A slip is a step in them, all at once, that is
/// larger than what reps differ by anyway and explains more than a steady drift (fatigue) does.
/// Fills `shift_u` and `twist_u`, and returns a line for each.
/// On synthetic squats without a slip it speaks up in fewer than 1 % of sets (tested).
[[nodiscard]] std::vector<std::string> find_slips(std::vector<PreparedStrap>& straps,
                                                  const Eigen::VectorXd& t,
                                                  const std::vector<Excursion>& excursions);

}  // namespace strapline::dsp
