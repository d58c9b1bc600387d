#pragma once

#include "strapline/dsp/failure.hpp"

#include "set_plan.hpp"

namespace strapline::recordings::synthetic {

/// Values that make no sense: one clear line naming the field.
[[nodiscard]] dsp::Result<void> check_params(const SquatSetParams& params);

/// Walks through the excursions: every knee flexion stays positive and below 160°, every knee
/// line within the leg's reach.
[[nodiscard]] dsp::Result<void> check_reach(const SetPlan& plan);

}  // namespace strapline::recordings::synthetic
