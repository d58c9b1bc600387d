#include <algorithm>
#include <cmath>
#include <csignal>
#include <utility>

#include "strapline/acquisition/host_clock.hpp"
#include "strapline/acquisition/virtual_strap.hpp"

#include "asio.hpp"
#include "virtual_port.hpp"
#include "virtual_strap.hpp"

namespace strapline::acquisition {
namespace {

constexpr std::chrono::milliseconds kStep{2};  // real time between looks at what fell due

constexpr std::chrono::seconds kDeserted{10};  // real time without a host, amid a playback

Result<void> check(const StrapScript& script) {
  const auto bad = [&](std::string what) { return fail(std::move(what), script.name); };
  if (script.counts.empty()) return bad("there are no readings to play");
  if (script.counts.size() != script.ticks.size()) return bad("every reading needs one tick");
  if (!(script.seconds_per_tick > 0.0) || !std::isfinite(script.seconds_per_tick) ||
      !std::isfinite(script.offset_s) || script.identity.tick_hz == 0) {
    return bad("the tick rate must be positive");
  }
  if (script.identity.rate.numerator == 0 || script.identity.rate.denominator == 0) {
    return bad("the sample rate must be positive");
  }
  const auto back = std::adjacent_find(script.ticks.begin(), script.ticks.end(),
                                       [](auto a, auto b) { return b <= a; });
  if (back != script.ticks.end()) {
    return bad("ticks must increase; reading " + std::to_string(back - script.ticks.begin() + 2) +
               " does not");
  }
  return {};
}

Result<void> check(const VirtualFaults& faults) {
  const auto is_fraction = [](double f) { return f >= 0.0 && f <= 1.0; };
  if (!is_fraction(faults.drop_batches) || !is_fraction(faults.corrupt_bytes)) {
    return fail("a fraction of batches or bytes must lie between 0 and 1");
  }
  if (!(faults.delay_s >= 0.0)) return fail("a delay must not be negative");
  return {};
}

}  // namespace

struct VirtualStraps::State {
  State(double speed, double start_timeout_s)
      : clock(speed),
        start_timeout(std::chrono::duration_cast<std::chrono::nanoseconds>(
            std::chrono::duration<double>(start_timeout_s))),
        step_timer(context),
        start_timer(context),
        signals(context) {}

  Result<std::string> add(StrapScript script, const VirtualFaults& faults,
                          std::unique_ptr<VirtualPort> port) {
    if (auto good = check(script); !good) return tl::make_unexpected(good.error());
    if (auto good = check(faults); !good) return tl::make_unexpected(good.error());
    if (auto good = port->plug_in(); !good) return tl::make_unexpected(good.error());
    std::string address = port->address();
    straps.push_back(std::make_unique<VirtualStrap>(clock, std::move(script), faults,
                                                    std::move(port), [this] { look(); }));
    straps.back()->accept();
    return address;
  }

  [[nodiscard]] bool all(bool (VirtualStrap::*is)() const) const {
    return std::all_of(straps.begin(), straps.end(), [&](auto& s) { return ((*s).*is)(); });
  }
  [[nodiscard]] bool any(bool (VirtualStrap::*is)() const) const {
    return std::any_of(straps.begin(), straps.end(), [&](auto& s) { return ((*s).*is)(); });
  }

  /// Follows the straps' states: begins and ends the playback, keeps the clockwork going.
  void look() {
    if (!playing && all(&VirtualStrap::streaming)) {
      begin();
    } else if (!playing && any(&VirtualStrap::streaming) && !waiting) {
      wait_for_others();
    } else if (playing && !any(&VirtualStrap::streaming)) {
      playing = false;
      played = true;
      for (auto& strap : straps) strap->end();
    }
    if (once && played && !playing && !any(&VirtualStrap::connected)) context.stop();
    if (!stepping && (playing || any(&VirtualStrap::connected))) step();
  }

  void wait_for_others() {
    waiting = true;
    start_timer.expires_after(start_timeout);
    start_timer.async_wait([this](ErrorCode error) {
      if (error) return;
      waiting = false;
      if (!playing && any(&VirtualStrap::streaming)) begin();
      look();
    });
  }

  void begin() {
    const std::int64_t now_ns = clock.now_ns();
    waiting = false;
    start_timer.cancel();
    playing = true;
    double origin_s = straps.front()->first_s();
    for (auto& strap : straps) origin_s = std::min(origin_s, strap->first_s());
    for (auto& strap : straps) strap->begin(now_ns, origin_s);
  }

  void step() {
    stepping = true;
    step_timer.expires_after(kStep);
    step_timer.async_wait([this](ErrorCode error) {
      stepping = false;
      if (error) return;
      for (auto& strap : straps) strap->advance();
      if (once && deserted()) return context.stop();
      look();
    });
  }

  /// The hosts went without stopping the straps, and none has come back.
  bool deserted() {
    const auto now = std::chrono::steady_clock::now();
    if (any(&VirtualStrap::connected)) alone_since = now;
    return playing && now - alone_since >= kDeserted;
  }

  void run(bool until_played) {
    once = until_played;
    played = false;
    const auto work = asio::make_work_guard(context);
    context.run();
    context.restart();  // afterwards, so that a stop() from before run() counts
  }

  asio::io_context context;
  ScaledClock clock;
  std::chrono::nanoseconds start_timeout;
  asio::steady_timer step_timer;
  asio::steady_timer start_timer;
  asio::signal_set signals;
  std::vector<std::unique_ptr<VirtualStrap>> straps;
  std::chrono::steady_clock::time_point alone_since = std::chrono::steady_clock::now();
  bool waiting = false;  ///< some straps were started, the others are given time
  bool playing = false;
  bool played = false;  ///< a playback has ended
  bool once = false;
  bool stepping = false;
};

VirtualStraps::VirtualStraps(double speed, double start_timeout_s)
    : state_(std::make_unique<State>(speed, start_timeout_s)) {}
VirtualStraps::~VirtualStraps() = default;

Result<std::string> VirtualStraps::add_pty(StrapScript script, const VirtualFaults& faults,
                                           const std::string& link_path) {
  return state_->add(std::move(script), faults, make_virtual_pty(state_->context, link_path));
}

Result<std::string> VirtualStraps::add_tcp(StrapScript script, const VirtualFaults& faults,
                                           std::uint16_t port) {
  return state_->add(std::move(script), faults, make_virtual_tcp(state_->context, port));
}

void VirtualStraps::run() { state_->run(false); }
void VirtualStraps::run_once() { state_->run(true); }
void VirtualStraps::stop() { state_->context.stop(); }

void VirtualStraps::stop_on_interrupt() {
  ErrorCode ignored;  // without it, the signal ends the process as usual
  state_->signals.add(SIGINT, ignored);
  state_->signals.add(SIGTERM, ignored);
  state_->signals.async_wait([this](ErrorCode error, int) {
    if (!error) stop();
  });
}

std::size_t VirtualStraps::size() const { return state_->straps.size(); }
VirtualStrapReport VirtualStraps::report(std::size_t strap) const {
  return state_->straps.at(strap)->report();
}

}  // namespace strapline::acquisition
