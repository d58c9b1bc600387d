#include "measure_reader.hpp"

#include <cmath>

#include "strapline/coaching/measure_catalogue.hpp"

namespace strapline::coaching {
namespace {

std::optional<double> read_edge(TableReader& reader, std::string_view key, dsp::Unit unit) {
  const auto shown = reader.maybe_number(key);
  if (!shown) return std::nullopt;
  if (!std::isfinite(*shown)) {
    reader.fault(key, "'" + std::string(key) + "' is not a finite number");
  }
  return *shown / dsp::display_factor(unit);
}

}  // namespace

dsp::Unit read_measure_unit(TableReader& reader, const std::string& name) {
  const auto unit = measure_unit(name);
  if (!unit) {
    reader.fault(name, "'" + name + "' is no measure",
                 "use a name as review --json has it, such as knee_flexion or knee_flexion_left");
  }
  return unit.value_or(dsp::Unit::one);
}

Band read_band(TableReader& reader, dsp::Unit unit) {
  Band band{read_edge(reader, "at_least", unit), read_edge(reader, "at_most", unit)};
  if (!band.low && !band.high) {
    reader.fault("at_least", "neither 'at_least' nor 'at_most' is given",
                 "give one of them, or both");
  }
  if (band.low && band.high && !(*band.low < *band.high)) {
    reader.fault("at_most", "'at_most' is not above 'at_least'", "give the lower edge as at_least");
  }
  return band;
}

}  // namespace strapline::coaching
