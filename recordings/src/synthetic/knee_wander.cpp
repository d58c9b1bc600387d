#include "knee_wander.hpp"

#include "strapline/recordings/synthetic/random.hpp"

namespace strapline::recordings::synthetic {

SidePair<KneeWander> draw_knee_wander(std::uint64_t seed, double factor) {
  constexpr std::uint64_t kStream = 15;
  constexpr double kLimit = 2.5;
  Random random(seed, kStream);
  const auto bone = [&] {
    BoneWander wander;
    wander.once = random.normal_within(0.0, factor * deg(0.75), kLimit);
    wander.twice = random.normal_within(0.0, factor * deg(0.75), kLimit);
    return wander;
  };
  const auto knee = [&] {
    KneeWander wander;
    wander.thigh = bone();
    wander.shank = bone();
    return wander;
  };
  SidePair<KneeWander> knees;
  knees.left = knee();
  knees.right = knee();
  return knees;
}

}  // namespace strapline::recordings::synthetic
