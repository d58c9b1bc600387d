#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/segmentation.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

struct RepGateParams {
  double home_share = 0.4;   ///< 1, of the rep's turn: posture at its ends from the set's usual one
  double home_slack = 0.2;   ///< rad, added to it: people do not stand alike twice
  double alike = 0.9;        ///< 1, correlation of the ways that two reps take
  double lone_ranges = 3.0;  ///< least ranges; one that resembles no other must be as large
};

/// Leaves of the excursions of a range angle those that `strap` shows to be reps: they begin and
/// end in the set's start posture, and each goes a way that another goes too (the two sides of an
/// alternating movement have a way each), or is large. What remains out is a stride, a strap that
/// is being handled, a turn. `least_range` in rad.
[[nodiscard]] std::vector<Excursion> without_strange(const std::vector<Excursion>& excursions,
                                                     const GridMotion& strap,
                                                     const Eigen::VectorXd& t, double least_range,
                                                     const RepGateParams& params = {});

}  // namespace strapline::dsp
