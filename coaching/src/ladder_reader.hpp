#pragma once

#include "strapline/coaching/ladder.hpp"

#include "toml_reader.hpp"

namespace strapline::coaching {

/// Reads a ladder's file from its root.
void read_ladder(TableReader& root, Ladder& ladder);

}  // namespace strapline::coaching
