#pragma once

#include <optional>
#include <vector>

#include "strapline/dsp/motion_features.hpp"

#include "rep_halves.hpp"

namespace strapline::dsp {

/// Whether reps set out with the half that goes away. All reps begin and end at home, and part reps
/// turn short of the others: where one end of the cycle is scattered and the other is not, this one
/// is home. Else the ends of the clusters tell: a client rests at home. `home`: up there (unit
/// vector, the sensor's frame), where other clusters of the set told it.
[[nodiscard]] bool sets_out_away(const MotionFeatures& features,
                                 const std::vector<HalfChain>& chains,
                                 const std::optional<Eigen::Vector3d>& home = {});

/// Up where these reps begin and end: 3, of unit vectors' medians, the sensor's frame.
[[nodiscard]] Eigen::Vector3d home_of(const MotionFeatures& features,
                                      const std::vector<HalfChain>& chains, bool begins_away);

}  // namespace strapline::dsp
