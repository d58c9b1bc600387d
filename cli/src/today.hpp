#pragma once

#include <string>

#include "strapline/dsp/failure.hpp"

#include "command.hpp"

namespace strapline::cli {

/// Declares --date DATE for a command that looks at a logbook as of a day; `date` must outlive it.
void add_date_option(CLI::App& command, std::string& date);

/// Days since 1970-01-01 UTC: the end of the date that was given, or its time, else now. Sets after
/// it are not looked at.
[[nodiscard]] dsp::Result<double> as_of(const std::string& date);

}  // namespace strapline::cli
