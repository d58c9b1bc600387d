#pragma once

#include <string>
#include <string_view>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// Days since 1970-01-01 of an ISO 8601 UTC time: "2026-11-25", "2026-11-25T08:00Z" or
/// "2026-11-25T08:00:00.5Z". Any other zone than Z is refused, not guessed.
[[nodiscard]] dsp::Result<double> days_from_utc(std::string_view utc);

/// "2026-11-25": the date of days_from_utc.
[[nodiscard]] std::string date_from_days(double days);

}  // namespace strapline::coaching
