#pragma once

#include "strapline/dsp/repetition.hpp"

#include "set_work.hpp"

namespace strapline::dsp {

/// A strap and what it repeats.
struct TurningStrap {
  const PreparedStrap* strap = nullptr;
  RepetitionSet set;
};

/// The strap whose movement repeats longest and widest; without any, the one that turned most, and
/// no repetitions. At least one strap.
[[nodiscard]] TurningStrap repeating_strap(const SetWork& work);

}  // namespace strapline::dsp
