#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {

BodyLengths lengths_of(const BodyBuild& body) {
  const double h = body.height;
  BodyLengths lengths{};
  lengths.height = h;
  lengths.thigh = body.thigh.value_or(0.245 * h);
  lengths.shank = body.shank.value_or(0.246 * h);
  lengths.foot = body.foot.value_or(0.152 * h);
  lengths.hip_spacing = body.hip_spacing.value_or(0.10 * h);
  lengths.ankle_height = 0.039 * h;
  lengths.ankle_from_heel = body.ankle_from_heel * lengths.foot;
  lengths.trunk = 0.288 * h;
  lengths.upper_arm = 0.186 * h;
  lengths.forearm = 0.146 * h;
  return lengths;
}

}  // namespace strapline::recordings::synthetic
