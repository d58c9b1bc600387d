#pragma once

#include <functional>
#include <vector>

#include "strapline/recordings/synthetic/body_motion.hpp"
#include "strapline/recordings/synthetic/leg_measures.hpp"

#include "leg_chain.hpp"

namespace strapline::recordings::synthetic {

/// World from segment.
struct TrunkFrames {
  Eigen::Matrix3d pelvis, lower_back, thorax;
};

/// Fills in what measures.md reads off one leg.
void measure_leg(const BodyLengths& body, const ToeLine<double>& toe, const Leg<double>& leg,
                 bool right, BoneMeasures& out);

/// Grood & Suntay's flexion between shank and foot, rad, dorsiflexion positive; absolute.
[[nodiscard]] double ankle_angle(const Leg<double>& leg, const Eigen::Matrix3d& world_from_foot);

/// Mean of `angle` (left, right) over the part, in steps of 50 ms.
[[nodiscard]] Sides mean_over(const dsp::Interval& part, const std::function<Sides(double)>& angle);

/// Fills in the trunk's measures and the hips'. `standing_rounding`: rad, of the back when
/// standing.
void measure_trunk(const TrunkFrames& trunk, double standing_rounding,
                   const SidePair<Leg<double>>& legs, BoneMeasures& out);

/// Names of measures.md, left before right.
[[nodiscard]] std::vector<BoneValue> bone_values(const BoneMeasures& measures);

}  // namespace strapline::recordings::synthetic
