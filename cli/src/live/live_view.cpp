#include "live_view.hpp"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

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

std::string strap_text(const StrapStatus& strap) {
  return fmt::format(
      "  {:<16} {:<18} battery {:>5}  {:>7} readings  {}", strap.label, strap.state, strap.battery,
      strap.readings,
      strap.missing == 0 ? "none missing" : fmt::format("{} batches missing", strap.missing));
}

std::string one_line(const LiveStatus& status) {
  std::string text = fmt::format("{:>5}  {}  {} ({})", clock_text(status.seconds), status.part,
                                 reps_text(status), status.counted_by);
  for (const StrapStatus& strap : status.straps) {
    text += fmt::format("  {}: {}, battery {}, {} missing", strap.label, strap.state, strap.battery,
                        strap.missing);
  }
  return text;
}

/// A wrapped line would spoil drawing over it.
std::size_t columns() {
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 80;
  return size.ws_col;
}

}  // namespace

void LiveView::say(const std::string& line) {
  if (kind_ == Kind::silent) return;
  erase();
  out_ << line << '\n' << std::flush;
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
