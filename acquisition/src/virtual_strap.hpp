#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "strapline/acquisition/host_clock.hpp"
#include "strapline/acquisition/virtual_strap.hpp"
#include "strapline/firmware_protocol/device.hpp"

#include "virtual_line.hpp"
#include "virtual_port.hpp"

namespace strapline::acquisition {

/// One virtual strap: its script, the firmware's state machine, and a port where hosts connect.
/// Driven by advance(), which its owner calls every few milliseconds.
class VirtualStrap {
 public:
  /// `changed` is called whenever the state of the device or the link may have changed.
  VirtualStrap(const HostClock& clock, StrapScript script, const VirtualFaults& faults,
               std::unique_ptr<VirtualPort> port, std::function<void()> changed);

  void accept();
  /// The playback began at `now_ns` of the clock, its time 0 being `origin_s` of the scripts'
  /// common time.
  void begin(std::int64_t now_ns, double origin_s);
  /// Offers the readings that fell due, breaks and mends the link, sends what waits.
  void advance();
  void end() { began_ns_.reset(); }

  [[nodiscard]] bool streaming() const {
    return device_.state() == firmware_protocol::DeviceState::streaming;
  }
  [[nodiscard]] bool connected() const { return stream_ != nullptr; }
  /// Common time of the first reading, s.
  [[nodiscard]] double first_s() const;
  [[nodiscard]] VirtualStrapReport report() const;

 private:
  void connected(std::unique_ptr<ByteStream> stream);
  void read();
  void hang_up();
  void offer(double playback_s);
  void follow_faults(double playback_s);
  void send();
  [[nodiscard]] std::uint64_t device_tick() const { return device_tick(clock_.now_ns()); }
  [[nodiscard]] std::uint64_t device_tick(std::int64_t now_ns) const;
  [[nodiscard]] double due_s(std::size_t sample) const;

  const HostClock& clock_;
  StrapScript script_;
  VirtualFaults faults_;
  std::unique_ptr<VirtualPort> port_;
  std::function<void()> changed_;

  std::vector<firmware_protocol::SampleBatch> ring_;
  firmware_protocol::Device device_;
  VirtualLine line_;
  std::unique_ptr<ByteStream> stream_;
  bool writing_ = false;
  bool unplugged_ = false;
  bool disconnected_ = false;  ///< the disconnection of this playback has happened

  std::optional<std::int64_t> began_ns_;
  double origin_s_ = 0.0;
  std::size_t next_ = 0;
  VirtualStrapReport report_;
};

}  // namespace strapline::acquisition
