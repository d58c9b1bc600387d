#pragma once

#include <cstdint>
#include <numbers>

#include "strapline/recordings/synthetic/set_params.hpp"

#include "segment_frame.hpp"

namespace strapline::recordings::synthetic {

/// What a bone turns about its own length as the knee bends, beside a turn that grows with it: rad,
/// of sin πb and sin 2πb, where b is flexion as a share of 110°.
struct BoneWander {
  double once = 0.0, twice = 0.0;

  template <class S>
  [[nodiscard]] S at(const S& flexion) const {
    using std::sin;
    const S bend = flexion * S(std::numbers::pi / deg(110.0));
    return S(once) * sin(bend) + S(twice) * sin(S(2.0) * bend);
  }
};

/// A knee is no hinge: its axis moves in both bones as it bends.
struct KneeWander {
  BoneWander thigh, shank;
};

/// Three quarters of a degree (RMS) in either bone of either leg for a factor of 1. Of the knee as
/// the straps see it; a figure of ours: bones turn further, but most of that in proportion to the
/// bend. Shapes that the fit does not hold gave the same accuracy.
[[nodiscard]] SidePair<KneeWander> draw_knee_wander(std::uint64_t seed, double factor);

}  // namespace strapline::recordings::synthetic
