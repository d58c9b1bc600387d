#pragma once

#include "strapline/coaching/aim.hpp"

#include "toml_reader.hpp"

namespace strapline::coaching {

/// Reads an aim's file from its root.
void read_aim(TableReader& root, Aim& aim);

}  // namespace strapline::coaching
