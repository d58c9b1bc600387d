#pragma once

#include <string>

#include "strapline/coaching/band.hpp"
#include "strapline/dsp/measure.hpp"

#include "toml_reader.hpp"

namespace strapline::coaching {

/// The unit of a key that names a measure, base or full; a fault at the key where there is none.
[[nodiscard]] dsp::Unit read_measure_unit(TableReader& reader, const std::string& name);

/// The edges `at_least` and `at_most` of a table, one of them or both, in what people read; SI out.
/// Faults: neither is there, one is not finite, or they leave nothing between them.
[[nodiscard]] Band read_band(TableReader& reader, dsp::Unit unit);

}  // namespace strapline::coaching
