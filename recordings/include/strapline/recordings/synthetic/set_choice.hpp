#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "strapline/recordings/synthetic/arm_params.hpp"
#include "strapline/recordings/synthetic/one_leg_params.hpp"
#include "strapline/recordings/synthetic/squat_params.hpp"

namespace strapline::recordings::synthetic {

/// A set of any movement that the simulator knows.
using SetParams = std::variant<SquatSetParams, OneLegSetParams, ArmSetParams>;

/// Names of the movements that the simulator knows, as in movement files.
[[nodiscard]] const std::vector<std::string>& simulated_movements();

/// A random client doing a random set of the movement; fails on a name that the simulator lacks.
[[nodiscard]] dsp::Result<SetParams> random_params(const std::string& movement, std::uint64_t seed,
                                                   ClientSpread spread = {});

/// The movement's usual posture and range, nothing drawn.
[[nodiscard]] dsp::Result<SetParams> usual_params(const std::string& movement);

/// Any of the movements with a single strap on a part that moves, recorded as "free": what a client
/// does whose movement has no definition.
struct FreeSet {
  SetParams params;
  StrapSetup straps;
};
[[nodiscard]] FreeSet random_free_set(std::uint64_t seed);
inline constexpr const char* kFree = "free";

/// The straps that show every measure of the movement.
[[nodiscard]] StrapSetup usual_straps(const SetParams& params);

}  // namespace strapline::recordings::synthetic
