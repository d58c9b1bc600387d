#include "virtual_strap.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace strapline::acquisition {

namespace fp = firmware_protocol;

namespace {

// More than a real strap has: a playback at many times life's speed needs as many more.
constexpr std::size_t kRingBatches = 2048;
constexpr std::size_t kWriteBytes = 2048;
constexpr std::size_t kLineBytes = 65536;

fp::DeviceTraits traits_of(const StrapScript& script) {
  fp::DeviceTraits traits;
  traits.identity = script.identity;
  traits.rates[0] = script.identity.rate;
  return traits;
}

}  // namespace

VirtualStrap::VirtualStrap(const HostClock& clock, StrapScript script, const VirtualFaults& faults,
                           std::unique_ptr<VirtualPort> port, std::function<void()> changed)
    : clock_(clock),
      script_(std::move(script)),
      faults_(faults),
      port_(std::move(port)),
      changed_(std::move(changed)),
      ring_(kRingBatches),
      device_(traits_of(script_), ring_),
      line_(faults) {
  device_.set_health(script_.battery_percent, script_.temperature_centi);
}

void VirtualStrap::accept() {
  port_->async_accept([this](std::unique_ptr<ByteStream> stream) { connected(std::move(stream)); });
}

void VirtualStrap::connected(std::unique_ptr<ByteStream> stream) {
  stream_ = std::move(stream);
  writing_ = false;
  ++report_.connections;
  device_.link_opened();
  read();
  changed_();
}

void VirtualStrap::read() {
  stream_->async_read([this](Result<std::span<const std::uint8_t>> bytes) {
    if (!bytes) {
      hang_up();
      accept();
    } else {
      device_.receive(*bytes, device_tick());
      read();
      send();
    }
    changed_();
  });
}

void VirtualStrap::hang_up() {
  stream_.reset();
  line_.clear();
}

// Every strap was switched on when the clock stood at 0, its counter at the script's first tick.
std::uint64_t VirtualStrap::device_tick(std::int64_t now_ns) const {
  const double ticks = 1e-9 * static_cast<double>(now_ns) / script_.seconds_per_tick;
  const std::int64_t first = std::max<std::int64_t>(script_.ticks.front(), 0);
  return static_cast<std::uint64_t>(first) + static_cast<std::uint64_t>(ticks);
}

double VirtualStrap::first_s() const {
  return script_.offset_s + static_cast<double>(script_.ticks.front()) * script_.seconds_per_tick;
}

double VirtualStrap::due_s(std::size_t sample) const {
  return script_.offset_s - origin_s_ +
         static_cast<double>(script_.ticks[sample]) * script_.seconds_per_tick;
}

// The device's counter has been running since power-up: the script's ticks are moved so that its
// time `origin_s` falls on the tick of this moment.
void VirtualStrap::begin(std::int64_t now_ns, double origin_s) {
  began_ns_ = now_ns;
  origin_s_ = origin_s;
  next_ = 0;
  disconnected_ = false;
  line_.forget_counts();
  const std::uint64_t connections = report_.connections;
  report_ = {};
  report_.connections = connections;
  const double origin_tick = (origin_s - script_.offset_s) / script_.seconds_per_tick;
  report_.tick_shift = static_cast<std::int64_t>(device_tick(now_ns)) - std::llround(origin_tick);
}

void VirtualStrap::advance() {
  if (began_ns_) {
    const double playback_s = 1e-9 * static_cast<double>(clock_.now_ns() - *began_ns_);
    offer(playback_s);
    follow_faults(playback_s);
  }
  send();
}

void VirtualStrap::offer(double playback_s) {
  for (; next_ < script_.counts.size() && due_s(next_) <= playback_s; ++next_) {
    if (!streaming()) {
      ++report_.missed;
      continue;
    }
    const std::int64_t tick = script_.ticks[next_] + report_.tick_shift;
    const auto device_time = static_cast<std::uint64_t>(tick);
    if (!faults_.drop_when_congested && !device_.has_room(device_time)) return;
    device_.sample(script_.counts[next_], device_time);
    report_.offered.push_back({script_.counts[next_], tick});
  }
}

void VirtualStrap::follow_faults(double playback_s) {
  if (!faults_.disconnect_at_s || playback_s < *faults_.disconnect_at_s) return;
  if (!disconnected_) {
    disconnected_ = unplugged_ = true;
    // The port first: a host that sees the link end must not find the old port still open.
    port_->unplug();
    hang_up();
    changed_();
  }
  const bool comes_back = faults_.reconnect_after_s &&
                          playback_s >= *faults_.disconnect_at_s + *faults_.reconnect_after_s;
  if (unplugged_ && comes_back && port_->plug_in()) {
    unplugged_ = false;
    accept();
  }
}

void VirtualStrap::send() {
  if (!stream_) return;
  std::vector<std::uint8_t> frames(kWriteBytes);
  while (line_.bytes_under_way() < kLineBytes) {
    if (faults_.delay_s <= 0.0 && writing_) break;  // the link is full: the device must feel it
    const std::size_t bytes = device_.transmit(frames, device_tick());
    if (bytes == 0) break;
    line_.carry(std::span(frames).first(bytes), clock_.now_ns());
    if (faults_.delay_s <= 0.0) break;
  }
  if (writing_) return;
  auto ready = line_.arrived(clock_.now_ns(), kWriteBytes);
  if (ready.empty()) return;
  writing_ = true;
  stream_->async_write(std::move(ready), [this](Result<void> written) {
    writing_ = false;
    if (written) send();  // where it failed, the read fails too and hangs up
  });
}

VirtualStrapReport VirtualStrap::report() const {
  VirtualStrapReport report = report_;
  report.batches_swallowed = line_.batches_swallowed();
  report.bytes_corrupted = line_.bytes_corrupted();
  report.device = device_.counts();
  return report;
}

}  // namespace strapline::acquisition
