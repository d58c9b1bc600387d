#include "load_range_reader.hpp"

#include <cmath>

namespace strapline::coaching {
namespace {

Band read_ends(TableReader& reader, std::string_view least, std::string_view most) {
  const Band ends{reader.maybe_number(least), reader.maybe_number(most)};
  const double low = ends.low.value_or(0.0);
  if (!(low >= 0.0 && low <= ends.high.value_or(low) && std::isfinite(low))) {
    reader.fault(ends.high ? most : least, "the loads leave nothing between them",
                 "give the lower one, 0 or above, first");
  }
  return ends;
}

}  // namespace

LoadRange read_load_range(TableReader& reader) {
  const Band kg = read_ends(reader, "at_least_kg", "at_most_kg");
  const Band mass = read_ends(reader, "at_least_body_mass", "at_most_body_mass");
  const bool in_kg = kg.low || kg.high;
  const bool in_mass = mass.low || mass.high;
  if (in_kg == in_mass) {
    reader.fault("at_most_kg",
                 "loads are given in kg or in body_mass, not both, and hold something",
                 "use at_least_kg and at_most_kg, or at_least_body_mass and at_most_body_mass");
  }
  return in_kg ? LoadRange{LoadScale::kg, kg} : LoadRange{LoadScale::body_mass, mass};
}

}  // namespace strapline::coaching
