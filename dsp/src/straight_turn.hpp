#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/segmentation.hpp"

namespace strapline::dsp {

// Figures of ours.
inline constexpr double kLeastTurn = 0.03;  ///< rad: a smaller turn may be sway
inline constexpr double kStraight = 0.95;   ///< 1, of the way turned: there and back, hardly more

/// 1, how far it is to an excursion's turn and back per way that the angle (n, rad, at `t`) goes:
/// 1 where it goes there and back, less where it dithers; 0 where it does not come back to where it
/// began.
[[nodiscard]] double straightness(const Eigen::VectorXd& t, const Eigen::VectorXd& angle,
                                  const Excursion& e);

/// Whether the angle shows most of `reps`, at least one, as they are.
[[nodiscard]] bool goes_straight(const Eigen::VectorXd& t, const Eigen::VectorXd& angle,
                                 const std::vector<Excursion>& reps);

}  // namespace strapline::dsp
