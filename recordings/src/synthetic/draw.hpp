#pragma once

#include "strapline/recordings/synthetic/random.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"

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

}  // namespace strapline::recordings::synthetic
