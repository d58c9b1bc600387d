#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "strapline/acquisition/failure.hpp"
#include "strapline/firmware_protocol/device.hpp"

/// Straps without hardware: samples played through the code that firmware runs, on a
/// pseudo-terminal or a TCP port, in real time or faster.
namespace strapline::acquisition {

/// What one virtual strap is and what its sensor reads.
struct StrapScript {
  std::string name;                      ///< for messages: "left_thigh"
  firmware_protocol::Identity identity;  ///< id, version, tick_hz, rate, scales, part; the rest
                                         ///< is filled in by the device
  std::vector<firmware_protocol::SampleCounts> counts;  ///< n readings
  std::vector<std::int64_t> ticks;  ///< n, strictly increasing; a gap in them is played as one
  /// The strap's true clock: sample i is read at common time offset_s + ticks[i]·seconds_per_tick.
  /// Straps of one replay keep their order and distance on this common time.
  double offset_s = 0.0;
  double seconds_per_tick = 0.0;  ///< 1/identity.tick_hz where the clock has no skew
  std::uint8_t battery_percent = 90;
  std::int16_t temperature_centi = 3000;
};

/// What goes wrong on purpose, for tests. Random choices repeat with the same seed.
struct VirtualFaults {
  double drop_batches = 0.0;   ///< fraction of new batches that the link swallows, 0–1
  double corrupt_bytes = 0.0;  ///< fraction of bytes towards the host that are changed, 0–1
  double delay_s = 0.0;        ///< of every frame towards the host, on the playback's clock
  std::optional<double> disconnect_at_s =
      std::nullopt;  ///< playback time at which the link breaks, once
  std::optional<double> reconnect_after_s =
      std::nullopt;                  ///< how long it stays away; unset: for good
  bool drop_when_congested = false;  ///< drop readings while the link is blocked, as firmware
                                     ///< must; otherwise the playback waits
  std::uint32_t seed = 1;
};

/// A reading as the device was given it.
struct OfferedSample {
  firmware_protocol::SampleCounts counts{};
  std::int64_t tick = 0;  ///< device tick: the script's plus VirtualStrapReport::tick_shift
  bool operator==(const OfferedSample&) const = default;
};

/// What a strap did in the newest playback.
struct VirtualStrapReport {
  std::vector<OfferedSample> offered;  ///< while it was streaming, in order
  std::size_t missed = 0;              ///< readings that fell due while it was not streaming
  std::int64_t tick_shift = 0;
  std::uint64_t batches_swallowed = 0;  ///< by drop_batches
  std::uint64_t bytes_corrupted = 0;
  std::uint64_t connections = 0;  ///< hosts that came, since the strap was added
  firmware_protocol::DeviceCounts device;
};

/// Any number of virtual straps on one event loop and one playback clock. The playback begins when
/// every strap has been started, or a while after the first; the straps' device counters have run
/// since this object was made, each from its script's first tick. When all are stopped again, the
/// next start plays from the beginning.
///
///     VirtualStraps straps(1.0);
///     const auto address = straps.add_pty(script);  // "/dev/pts/7"
///     straps.run_once();
class VirtualStraps {
 public:
  /// `speed` > 0: seconds of playback per second. `start_timeout_s`: real seconds that the playback
  /// waits for the other straps once the first was started.
  explicit VirtualStraps(double speed, double start_timeout_s = 2.0);
  VirtualStraps(const VirtualStraps&) = delete;
  VirtualStraps& operator=(const VirtualStraps&) = delete;
  ~VirtualStraps();

  /// Adds a strap on a new pseudo-terminal; gives the path to open. With `link_path`, a symbolic
  /// link of that name leads to it (an old link is replaced, anything else is not), and outlives a
  /// disconnection; needed for straps that come back. Before run() only.
  [[nodiscard]] Result<std::string> add_pty(StrapScript script, const VirtualFaults& faults = {},
                                            const std::string& link_path = {});
  /// Adds a strap on a TCP port of the loopback interface, 0: any free one; gives "tcp:host:port".
  [[nodiscard]] Result<std::string> add_tcp(StrapScript script, const VirtualFaults& faults = {},
                                            std::uint16_t port = 0);

  /// Runs until stop().
  void run();
  /// Runs until a playback has ended, all straps are stopped and the hosts have gone; until no host
  /// has been there for 10 s amid a playback; or stop().
  void run_once();
  /// From any thread.
  void stop();
  /// Lets SIGINT and SIGTERM call stop() instead of ending the process.
  void stop_on_interrupt();

  [[nodiscard]] std::size_t size() const;
  /// In the order of adding. Not while run() runs in another thread.
  [[nodiscard]] VirtualStrapReport report(std::size_t strap) const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace strapline::acquisition
