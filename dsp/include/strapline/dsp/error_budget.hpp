#pragma once

#include "strapline/dsp/body.hpp"
#include "strapline/dsp/placement.hpp"

namespace strapline::dsp {

/// Flexion of knee or elbow at which soft tissue is stated, rad (110°).
inline constexpr double kFullFlexion = 1.92;

/// Stated constants from which the uncertainties are made, one sigma each. They describe people and
/// straps, not a data set.
struct ErrorBudget {
  double standing = 0.026;         ///< rad (1.5°): a standing segment's lean from plumb, forwards
  double standing_across = 0.026;  ///< rad (1.5°): …and sideways
  double standing_limb = 0.026;    ///< rad (1.5°): same of a limb, forwards
  double standing_limb_across = 0.026;  ///< rad (1.5°): …and sideways
  /// rad: what of that is sway, where it is told from the lean; a straight leg sways as one.
  double limb_sway = 0.0, limb_sway_across = 0.0;
  double standing_again =
      0.026;  ///< rad (1.5°): how differently one stands the second time, per axis
  double hanging_again = 0.07;  ///< rad (4°): same of a hanging arm
  // Feet stand from below the hip joints, at a tenth of the height, to the shoulders' width, at
  // 0.26 of it (Drillis & Contini 1964, in Winter): slants of 0 to 9°, most of them below 6.
  double stance_slant = 0.068;  ///< rad (3.9°): inward slant of a standing leg
  double usual_slant = 0.052;   ///< rad (3°): …of which this much is common
  double hinge_square = 0.026;  ///< rad (1.5°): how square the knee's axis is to thigh and shank
  /// rad (2.5°): toe line shown by easy bends "over the second toe", half a centimetre beside the
  /// line where the knee is 11 cm ahead of the ankle.
  double toe_line = 0.044;
  double toe_line_from_set = 0.105;  ///< rad (6°): same, from the set itself
  double trunk_facing = 0.09;    ///< rad (5°): plane of a trunk's own lean against the person's
  double heading_floor = 0.017;  ///< rad (1°): how differently one faces, standing again
  // Arms (figures of ours): told to hang straight, they hang this far outwards and stay this
  // flexed.
  double arm_out = 0.070;            ///< rad (4°): a hanging upper arm, away from the body
  double elbow_rest = 0.087;         ///< rad (5°): flexion of an elbow told to be straight…
  double elbow_rest_sd = 0.035;      ///< rad (2°): …from client to client
  double raise_plane = 0.035;        ///< rad (2°): plane of an arm raised along a wall
  double bow_plane = 0.026;          ///< rad (1.5°): direction of a bow straight ahead
  double soft_tissue_thigh = 0.035;  ///< rad (2°) at kFullFlexion; 2–3° at best (Leardini 2005)
  double soft_tissue_limb = 0.0175;  ///< rad (1°): shank, forearm, pelvis and trunk
  double soft_tissue_foot = 0.0087;  ///< rad (0.5°): shoe and laces (a figure of ours)
  double length_share = 0.04;        ///< 1: of a segment length taken from the body height
  double length_measured = 0.01;     ///< m: of a segment length taken with a tape
  double toe_reach = 0.008;          ///< m: of the toe tip's distance ahead of the ankle
};

/// s: a still part as it is asked for.
inline constexpr double kUsualStill = 4.0;

/// The constants with what is stated of this client in place of the usual. Who stands plumb still
/// sways: of that, the mean over a still part of `still_s` seconds keeps what has not come back.
[[nodiscard]] ErrorBudget budget_for(const BodyDimensions& body, double still_s = kUsualStill);

/// What is left of a trunk's sway to and fro, rad, 1 sigma, in a mean over `seconds`; sideways it
/// is half of that (posturography, from memory: feet apart, people sway less that way), and of a
/// limb half of the trunk's (a figure of ours): a body leans about its ankles by some 3 mm at the
/// hips, and arms hang.
[[nodiscard]] double mean_sway(double seconds);

/// Total soft-tissue turn of a strap on this segment at kFullFlexion, rad, about all axes.
[[nodiscard]] double soft_tissue(const ErrorBudget& budget, Segment segment);

/// Same about any one axis: the turn's axis is random.
[[nodiscard]] double soft_tissue_per_axis(const ErrorBudget& budget, Segment segment);

/// Segment lengths with their uncertainty: as given, or from the height (Drillis & Contini 1964, in
/// Winter: thigh 0.245, shank 0.246, foot 0.152 of it). Value 0 where neither is known.
[[nodiscard]] Length thigh_length(const BodyDimensions& body, const ErrorBudget& budget);
[[nodiscard]] Length shank_length(const BodyDimensions& body, const ErrorBudget& budget);

/// Ankle centre to toe tip along the toe line: 0.75 of the foot's length (from memory: the ankle
/// stands a quarter of the foot ahead of the heel).
[[nodiscard]] Length toe_reach(const BodyDimensions& body, const ErrorBudget& budget);

}  // namespace strapline::dsp
