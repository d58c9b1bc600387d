#include "live_view.hpp"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "strapline/dsp/measure.hpp"

namespace strapline::cli {
namespace {

std::string clock_text(double seconds) {
  const auto whole = static_cast<int>(seconds);
  return fmt::format("{}:{:02}", whole / 60, whole % 60);
}

std::string reps_text(const LiveStatus& status) {
  std::string text = fmt::format("{} {}", status.reps, status.reps == 1 ? "rep" : "reps");
  if (status.part_reps > 0) text += fmt::format(" + {} part", status.part_reps);
  return text;
}

std::string battery_text(std::optional<int> percent) {
  return percent ? fmt::format("{} %", *percent) : "unknown";
}

std::string missing_text(std::uint64_t batches) {
  return batches == 0 ? "none missing" : fmt::format("{} batches missing", batches);
}

std::string strap_text(const StrapStatus& strap) {
  const std::string how =
      strap.state == kStreaming ? "battery " + battery_text(strap.battery) : strap.state;
  return fmt::format("  {:<16} {:<18} {:>7} readings, {}", strap.label, how, strap.readings,
                     missing_text(strap.missing));
}

/// All straps in a few words; those that are not well by name.
std::string straps_text(const std::vector<StrapStatus>& straps) {
  std::size_t streaming = 0;
  std::uint64_t missing = 0;
  std::optional<int> lowest;
  std::string unwell;
  for (const StrapStatus& strap : straps) {
    streaming += strap.state == kStreaming ? 1U : 0U;
    missing += strap.missing;
    if (strap.battery && (!lowest || *strap.battery < *lowest)) lowest = strap.battery;
    if (strap.state != kStreaming) unwell += fmt::format("  {}: {}", strap.label, strap.state);
  }
  return fmt::format("{} of {} straps streaming, battery {}{}, {}{}", streaming, straps.size(),
                     straps.size() > 1 && lowest ? "at least " : "", battery_text(lowest),
                     missing_text(missing), unwell);
}

std::string one_line(const LiveStatus& status) {
  return fmt::format("{:>5}  {}  {} (counted on {})  {}", clock_text(status.seconds), status.part,
                     reps_text(status), status.counted_by, straps_text(status.straps));
}

/// A line that the terminal wraps would spoil drawing over it.
std::size_t columns() {
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 80;
  return size.ws_col;
}

/// Breaks a line between words; what follows is indented.
std::string wrapped(std::string rest, std::size_t width) {
  std::string text;
  while (rest.size() > width) {
    const auto space = rest.rfind(' ', width);
    if (space == std::string::npos || space < 4) break;
    text += rest.substr(0, space) + "\n";
    rest = "  " + rest.substr(space + 1);
  }
  return text + rest;
}

}  // namespace

std::string correction_text(const dsp::LiveEvent& event) {
  const auto counts = [](const dsp::LiveRep& rep) { return !rep.part && !rep.withdrawn; };
  std::string now;
  if (event.rep.withdrawn) {
    now = "was no rep";
  } else if (event.rep.part) {
    now = "was a part rep";
  } else {
    now = event.before.part || event.before.withdrawn ? "was a full rep after all"
                                                      : "was measured anew";
  }
  if (counts(event.before) != counts(event.rep)) {
    now += counts(event.rep) ? ": counted" : ": not counted any more";
  }
  const double range = event.rep.range * dsp::display_factor(dsp::Unit::radian);
  return fmt::format("  correction: excursion {} {} ({:.0f}°, {:.1f} to {:.1f} s)",
                     event.number + 1, now, range, event.rep.start_s, event.rep.end_s);
}

void LiveView::say(const std::string& line) {
  if (kind_ == Kind::silent) return;
  erase();
  out_ << (kind_ == Kind::terminal ? wrapped(line, columns() - 1) : line) << '\n' << std::flush;
}

void LiveView::warn(const std::string& line) {
  erase();
  err_ << "strapline: " << line << '\n' << std::flush;
}

void LiveView::show(const LiveStatus& status) {
  if (kind_ == Kind::silent) return;
  if (kind_ == Kind::lines) {
    out_ << one_line(status) << '\n' << std::flush;
    return;
  }
  erase();
  draw(status);
}

void LiveView::erase() {
  if (drawn_ > 0) out_ << fmt::format("\x1b[{}A\r\x1b[J", drawn_) << std::flush;
  drawn_ = 0;
}

void LiveView::draw(const LiveStatus& status) {
  std::vector<std::string> lines = {fmt::format("  {:>5}  {:<12} {}  (counted on {})",
                                                clock_text(status.seconds), status.part,
                                                reps_text(status), status.counted_by)};
  for (const StrapStatus& strap : status.straps) lines.push_back(strap_text(strap));
  for (const std::string& line : lines) out_ << line.substr(0, columns() - 1) << '\n';
  out_ << std::flush;
  drawn_ = static_cast<int>(lines.size());
}

}  // namespace strapline::cli
