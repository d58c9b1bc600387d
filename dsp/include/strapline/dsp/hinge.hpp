#pragma once

#include <vector>

#include <Eigen/Core>
#include <tl/expected.hpp>

#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {

/// The axis that two neighbouring segments turn about against each other, as both their sensors see
/// it, and how their headings differ.
struct Hinge {
  Eigen::Vector3d axis_a = Eigen::Vector3d::UnitZ();  ///< unit, sensor frame of a
  Eigen::Vector3d axis_b = Eigen::Vector3d::UnitZ();  ///< unit, sensor frame of b
  double heading_a_from_b = 0.0;  ///< rad, turn about the vertical from b's world to a's
  double mismatch = 0.0;          ///< rad, RMS angle between the two views of the axis
  double heading_u = 0.0;         ///< rad, 1 sigma, from the mismatch and the curvature
};

/// Why motion shows no hinge.
enum class NoHinge {
  too_little_data,  ///< below 20 samples
  hardly_turns,     ///< the segments turn by less than about 15° RMS against each other
  vertical_axis,    ///< the axis stays within 15° of vertical: the heading then shows in nothing
};

/// The best hinge through the orientations at `samples` (indices of the grid): the pair of
/// directions that coincide in the world at all times, q_a·axis_a = turn(heading)·q_b·axis_b, least
/// squares over both axes and the heading (in the spirit of Seel et al. 2012, ‖ω₁ × j₁‖ = ‖ω₂ ×
/// j₂‖, and of Laidig et al. 2017 for the heading, but on orientations, which hold the slow parts
/// too). `heading_guess`, rad: searched within ±60° of it. The signs of both axes are free but
/// tied.
[[nodiscard]] tl::expected<Hinge, NoHinge> find_hinge(const GridMotion& a, const GridMotion& b,
                                                      const std::vector<Eigen::Index>& samples,
                                                      double heading_guess);

/// Hinges to choose from, best first, at most four: over the full circle of headings each at which
/// the orientations agree better than at its neighbours, and its twin half a turn away (while the
/// axis stays horizontal, orientations alone cannot tell the two apart). To a step of 3° in
/// heading. Empty where the segments turn less than `least_turn` rad (RMS) against each other.
[[nodiscard]] std::vector<Hinge> hinge_candidates(const GridMotion& a, const GridMotion& b,
                                                  const std::vector<Eigen::Index>& samples,
                                                  double least_turn);

}  // namespace strapline::dsp
