#include "strapline/recordings/synthetic/set_choice.hpp"

#include <optional>

#include "strapline/recordings/synthetic/random.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr SquatMovement kSquats[] = {SquatMovement::squat, SquatMovement::front_squat,
                                     SquatMovement::hip_hinge};

std::string known_names() {
  std::string names;
  for (const std::string& name : simulated_movements()) names += (names.empty() ? "" : ", ") + name;
  return names;
}

/// The parameters that `make` gives for the movement of that name.
template <class Make>
dsp::Result<SetParams> choose(const std::string& name, const Make& make) {
  for (const SquatMovement m : kSquats) {
    if (movement_name(m) == name) return SetParams(make(m));
  }
  for (const OneLegMovement m : one_leg_movements()) {
    if (movement_name(m) == name) return SetParams(make(m));
  }
  for (const ArmMovement m : arm_movements()) {
    if (movement_name(m) == name) return SetParams(make(m));
  }
  return dsp::fail("no simulator for '" + name + "'", "", "use one of " + known_names());
}

struct Drawn {
  std::uint64_t seed;
  ClientSpread spread;
  SquatSetParams operator()(SquatMovement m) const { return random_squat_params(seed, m, spread); }
  OneLegSetParams operator()(OneLegMovement m) const {
    return random_one_leg_params(seed, m, spread);
  }
  ArmSetParams operator()(ArmMovement m) const { return random_arm_params(seed, m, spread); }
};

struct Usual {
  SquatSetParams operator()(SquatMovement m) const { return usual_squat_params(m); }
  OneLegSetParams operator()(OneLegMovement m) const { return usual_one_leg_params(m); }
  ArmSetParams operator()(ArmMovement m) const { return usual_arm_params(m); }
};

}  // namespace

const std::vector<std::string>& simulated_movements() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> names;
    for (const SquatMovement m : kSquats) names.push_back(movement_name(m));
    for (const OneLegMovement m : one_leg_movements()) names.push_back(movement_name(m));
    for (const ArmMovement m : arm_movements()) names.push_back(movement_name(m));
    return names;
  }();
  return all;
}

dsp::Result<SetParams> random_params(const std::string& movement, std::uint64_t seed,
                                     ClientSpread spread) {
  return choose(movement, Drawn{seed, spread});
}

dsp::Result<SetParams> usual_params(const std::string& movement) {
  return choose(movement, Usual{});
}

FreeSet random_free_set(std::uint64_t seed) {
  constexpr std::uint64_t kStream = 32;
  Random random(seed, kStream);
  const auto& names = simulated_movements();
  const int movement = random.integer(0, static_cast<int>(names.size()) - 1);
  FreeSet set{random_params(names[static_cast<std::size_t>(movement)], seed).value(), {}};
  using dsp::Segment;
  using dsp::Side;
  const auto* one_leg = std::get_if<OneLegSetParams>(&set.params);
  dsp::Placement strap{Segment::thigh, random.uniform() < 0.5 ? Side::left : Side::right};
  if (one_leg != nullptr) strap.side = one_leg->side;
  // A thigh would see every second lunge from behind.
  if (one_leg != nullptr && one_leg->movement == OneLegMovement::lunge) {
    strap = {Segment::pelvis, Side::middle};
  }
  if (std::holds_alternative<ArmSetParams>(set.params)) {
    strap.segment = random.uniform() < 0.5 ? Segment::forearm : Segment::upper_arm;
  }
  set.straps.placements = {strap};
  return set;
}

StrapSetup usual_straps(const SetParams& params) {
  using dsp::Segment;
  using dsp::Side;
  if (std::holds_alternative<ArmSetParams>(params)) return arm_straps();
  StrapSetup setup;
  const auto* squat = std::get_if<SquatSetParams>(&params);
  if (squat != nullptr && squat->movement == SquatMovement::hip_hinge) {
    setup.placements.push_back({Segment::upper_back, Side::middle});
    setup.placements.push_back({Segment::lower_back, Side::middle});
  }
  return setup;
}

}  // namespace strapline::recordings::synthetic
