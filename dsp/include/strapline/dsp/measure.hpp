#pragma once

#include <map>
#include <string>
#include <variant>

namespace strapline::dsp {

enum class Unit { one, radian, metre, second, metre_per_second };

/// A value with its standard uncertainty (1 sigma), both in `unit` (SI).
struct MeasuredValue {
  double value = 0.0;
  double u = 0.0;
  Unit unit = Unit::one;
};

/// Why a measure has no value, in words for the reader, with the placement that would measure it.
struct NotMeasured {
  std::string reason;
};

using Measure = std::variant<MeasuredValue, NotMeasured>;

/// Keyed by the names of measures.md with underscores, sided ones with `_left` or `_right`.
using MeasureMap = std::map<std::string, Measure>;

/// A value as people read it: degrees, centimetres, seconds, m/s.
struct DisplayValue {
  double value = 0.0;
  double u = 0.0;
  std::string unit;  ///< "deg", "cm", "s", "m/s" or ""
};

/// SI to what people read; the only place where degrees and centimetres are made.
[[nodiscard]] DisplayValue to_display(const MeasuredValue& measured);

/// The display unit's name and how many of it one SI unit holds.
[[nodiscard]] std::string display_unit(Unit unit);
[[nodiscard]] double display_factor(Unit unit);

/// "rad", "m", "s", "m/s" or "1": the spelling of `unit` attributes in files.
[[nodiscard]] std::string si_unit(Unit unit);

}  // namespace strapline::dsp
