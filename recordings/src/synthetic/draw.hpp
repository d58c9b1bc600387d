#pragma once

#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

/// Normal within 2.5 sigma: what people differ by has no far tails.
inline double draw(Random& random, double mean, double sd) {
  return random.normal_within(mean, sd, 2.5);
}

/// Each side about a common value.
inline Sides draw_sides(Random& random, double common, double sd) {
  Sides sides;
  sides.left = draw(random, common, sd);
  sides.right = draw(random, common, sd);
  return sides;
}

/// Every standing inclination with this sd, rad.
inline void draw_posture(Random& random, double sd, StandingPosture& posture) {
  constexpr double kLeastKnee = deg(0.5);  // see StandingPosture
  if (sd <= 0.0) {
    posture = StandingPosture{};
    posture.shank_lean = posture.thigh_lean = 0.0;
    return;
  }
  do {  // a knee that is bent backwards when standing is drawn again
    posture.shank_lean = draw(random, 0.0, sd);
    posture.thigh_lean = draw(random, 0.0, sd);
  } while (posture.shank_lean + posture.thigh_lean < kLeastKnee);
  posture.pelvis_lean = draw(random, 0.0, sd);
  posture.lower_back_lean = draw(random, 0.0, sd);
  posture.trunk_lean = draw(random, 0.0, sd);
  posture.trunk_side_lean = draw(random, 0.0, sd);
}

}  // namespace strapline::recordings::synthetic
