#include "strapline/coaching/calendar.hpp"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <optional>

namespace strapline::coaching {
namespace {

constexpr double kSecondsPerDay = 86400.0;

/// Reads a text from the left; once something is not as it should be, nothing more is.
class Scan {
 public:
  explicit Scan(std::string_view text) : left_(text) {}

  /// Exactly so many digits.
  int digits(std::size_t count) {
    int number = 0;
    for (std::size_t i = 0; i < count; ++i) {
      sound_ = sound_ && next_is_digit();
      if (!sound_) return 0;
      number = 10 * number + (left_.front() - '0');
      left_.remove_prefix(1);
    }
    return number;
  }
  /// ".5": digits after the point.
  double fraction() {
    sound_ = sound_ && next_is_digit();
    double number = 0.0;
    for (double place = 0.1; next_is_digit(); place /= 10.0, left_.remove_prefix(1)) {
      number += place * (left_.front() - '0');
    }
    return number;
  }
  /// Takes the sign where it comes next.
  bool take(char sign) {
    const bool here = sound_ && !left_.empty() && left_.front() == sign;
    if (here) left_.remove_prefix(1);
    return here;
  }
  void need(char sign) { sound_ = take(sign); }
  [[nodiscard]] bool at_end() const { return sound_ && left_.empty(); }

 private:
  [[nodiscard]] bool next_is_digit() const {
    return !left_.empty() && left_.front() >= '0' && left_.front() <= '9';
  }

  std::string_view left_;
  bool sound_ = true;
};

/// "T08:00Z", "T08:00:00Z" or "T08:00:00.5Z" in seconds of the day; empty where it is none.
std::optional<double> time_of_day(Scan& scan) {
  const int hour = scan.digits(2);
  scan.need(':');
  const int minute = scan.digits(2);
  double second = 0.0;
  if (scan.take(':')) {
    second = scan.digits(2);
    if (scan.take('.')) second += scan.fraction();
  }
  scan.need('Z');
  if (!scan.at_end() || hour >= 24 || minute >= 60 || second >= 61.0) return std::nullopt;
  return hour * 3600.0 + minute * 60.0 + second;
}

dsp::Failure no_date(std::string_view utc) {
  if (utc.empty()) return {"no date is logged", "", "give --date when importing"};
  return {"'" + std::string(utc) + "' is no date", "",
          "write it as 2026-11-25 or 2026-11-25T08:00:00Z"};
}

}  // namespace

dsp::Result<double> days_from_utc(std::string_view utc) {
  Scan scan(utc);
  const std::chrono::year year(scan.digits(4));
  scan.need('-');
  const std::chrono::month month(static_cast<unsigned>(scan.digits(2)));
  scan.need('-');
  const std::chrono::year_month_day date{year, month,
                                         std::chrono::day(static_cast<unsigned>(scan.digits(2)))};
  const auto second = scan.take('T') ? time_of_day(scan) : std::optional(0.0);
  if (!scan.at_end() || !second || !date.ok()) return tl::make_unexpected(no_date(utc));
  const auto days = std::chrono::sys_days(date).time_since_epoch().count();
  return static_cast<double>(days) + *second / kSecondsPerDay;
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
