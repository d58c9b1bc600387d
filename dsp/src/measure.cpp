#include "strapline/dsp/measure.hpp"

#include <numbers>

namespace strapline::dsp {

DisplayValue to_display(const MeasuredValue& measured) {
  const double factor = display_factor(measured.unit);
  return {measured.value * factor, measured.u * factor, display_unit(measured.unit)};
}

std::string display_unit(Unit unit) {
  switch (unit) {
    case Unit::radian:
      return "deg";
    case Unit::metre:
      return "cm";
    case Unit::second:
      return "s";
    case Unit::metre_per_second:
      return "m/s";
    case Unit::one:
      break;
  }
  return {};
}

double display_factor(Unit unit) {
  switch (unit) {
    case Unit::radian:
      return 180.0 / std::numbers::pi;
    case Unit::metre:
      return 100.0;
    case Unit::second:
    case Unit::metre_per_second:
    case Unit::one:
      break;
  }
  return 1.0;
}

std::string si_unit(Unit unit) {
  switch (unit) {
    case Unit::radian:
      return "rad";
    case Unit::metre:
      return "m";
    case Unit::second:
      return "s";
    case Unit::metre_per_second:
      return "m/s";
    case Unit::one:
      break;
  }
  return "1";
}

}  // namespace strapline::dsp
