#pragma once

#include <Eigen/Core>

#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {

/// Joint centres of one leg, m.
struct LegCentres {
  Eigen::Vector3d ankle, knee, hip;
};

/// The frontal projection of a thigh nearer to horizontal than this (or beyond) has no direction
/// to speak of: no knee line angle there. rad, the analysis's own limit.
inline constexpr double kFrontalLimit = 0.785;

/// What measures.md reads off the bones at one time; rad and m.
struct BoneMeasures {
  Sides thigh_depth, knee_flexion, hip_flexion, knee_line_distance, knee_travel;
  Sides ankle_flexion;    ///< from the mean of the first still part
  Sides knee_line_angle;  ///< not a number within kFrontalLimit
  double trunk_lean = 0.0, trunk_side_lean = 0.0;
  double back_rounding = 0.0;  ///< from standing
  double range_angle = 0.0;    ///< mean of both sides: thigh from its side, of a hinge hip flexion
};

}  // namespace strapline::recordings::synthetic
