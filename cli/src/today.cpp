#include "today.hpp"

#include <chrono>

#include "strapline/coaching/calendar.hpp"

namespace strapline::cli {
namespace {

constexpr double kSecondsPerDay = 86400.0;
constexpr double kEndOfDay = 1.0 - 1.0 / kSecondsPerDay;

}  // namespace

void add_date_option(CLI::App& command, std::string& date) {
  command.add_option("--date", date, "As of this date; later sets are not looked at [today]")
      ->type_name("DATE");
}

dsp::Result<double> as_of(const std::string& date) {
  if (date.empty()) {
    const std::chrono::duration<double> now = std::chrono::system_clock::now().time_since_epoch();
    return now.count() / kSecondsPerDay;
  }
  const auto day = coaching::days_from_utc(date);
  if (!day) return dsp::fail(day.error().what, "--date", day.error().todo);
  return date.find('T') == std::string::npos ? *day + kEndOfDay : *day;
}

}  // namespace strapline::cli
