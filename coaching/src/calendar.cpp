#include "strapline/coaching/calendar.hpp"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <regex>

namespace strapline::coaching {
namespace {

constexpr double kSecondsPerDay = 86400.0;

double number_or_zero(const std::csub_match& match) {
  return match.matched ? std::stod(match.str()) : 0.0;
}

}  // namespace

dsp::Result<double> days_from_utc(std::string_view utc) {
  static const std::regex kPattern(
      R"((\d{4})-(\d{2})-(\d{2})(?:T(\d{2}):(\d{2})(?::(\d{2}(?:\.\d+)?))?Z)?)");
  std::cmatch match;
  const bool read = std::regex_match(utc.data(), utc.data() + utc.size(), match, kPattern);
  const auto refuse = [&] {
    if (utc.empty()) return dsp::fail("no date is logged", "", "give --date when importing");
    return dsp::fail("'" + std::string(utc) + "' is no date", "",
                     "write it as 2026-11-25 or 2026-11-25T08:00:00Z");
  };
  if (!read) return refuse();
  const std::chrono::year_month_day date{
      std::chrono::year(std::stoi(match[1].str())),
      std::chrono::month(static_cast<unsigned>(std::stoi(match[2].str()))),
      std::chrono::day(static_cast<unsigned>(std::stoi(match[3].str())))};
  const double hour = number_or_zero(match[4]);
  const double minute = number_or_zero(match[5]);
  const double second = number_or_zero(match[6]);
  if (!date.ok() || hour >= 24.0 || minute >= 60.0 || second >= 61.0) return refuse();
  const auto days = std::chrono::sys_days(date).time_since_epoch().count();
  return static_cast<double>(days) + (hour * 3600.0 + minute * 60.0 + second) / kSecondsPerDay;
}

std::string date_from_days(double days) {
  const std::chrono::year_month_day date{
      std::chrono::sys_days(std::chrono::days(static_cast<int>(std::floor(days))))};
  char text[32];
  std::snprintf(text, sizeof text, "%04d-%02u-%02u", static_cast<int>(date.year()),
                static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
  return text;
}

}  // namespace strapline::coaching
