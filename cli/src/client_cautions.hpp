#pragma once

#include <vector>

#include "strapline/coaching/cautions.hpp"
#include "strapline/coaching/client.hpp"

#include "client_history.hpp"

namespace strapline::cli {

/// Cautions about one set, whatever the aim: the set itself, beside the client's sets of the same
/// movement, and what the client was accustomed to before it.
[[nodiscard]] std::vector<coaching::Caution> cautions_of(const DatedSet& dated,
                                                         const std::vector<DatedSet>& history,
                                                         const coaching::AgreedLimits& limits);

}  // namespace strapline::cli
