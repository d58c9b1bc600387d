#pragma once

#include <optional>

namespace strapline::coaching {

/// What lies between two edges, either of which may be missing. SI.
struct Band {
  std::optional<double> low;   ///< at least this
  std::optional<double> high;  ///< at most this
};

}  // namespace strapline::coaching
