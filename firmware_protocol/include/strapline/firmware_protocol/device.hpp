#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "strapline/firmware_protocol/batch_ring.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"
#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::firmware_protocol {

inline constexpr std::size_t kMaxRates = 4;
inline constexpr std::size_t kReplySlots = 8;
inline constexpr std::size_t kResendSlots = 4;

/// What a strap is: fixed at power-up.
struct DeviceTraits {
  Identity identity;  ///< `rate`, `ring_batches`, `max_batch_samples` and `state` are filled in
  std::array<Rate, kMaxRates> rates{};  ///< true rates of the part, the default first
  std::size_t rate_count = 1;
  std::uint8_t default_batch_samples = 10;
};

/// What the strap counted; see Status.
struct DeviceCounts {
  std::uint32_t dropped_samples = 0;
  std::uint32_t saturated_samples = 0;
  std::uint32_t unknown_messages = 0;  ///< good frames of a type that a strap does not take
  std::uint32_t dropped_replies = 0;   ///< answers that found no free slot: the host asks again
};

/// The strap's side of the protocol, as firmware runs it. Not thread-safe; never allocates; holds
/// no clock: every call says what tick it is.
///
///     receive(bytes, tick)   whenever bytes arrive
///     sample(counts, tick)   whenever the part has a reading, at rate()
///     transmit(out, tick)    whenever the link can take bytes
class Device {
 public:
  /// `ring` holds the batches, at least one; it must outlive the device. Its length decides how
  /// long the strap rides out a blocked link, and how far back it can resend.
  Device(const DeviceTraits& traits, std::span<SampleBatch> ring);

  /// A host connected: forgets half a frame, waiting answers and resends. A stream goes on.
  void link_opened();

  void receive(std::span<const std::uint8_t> bytes, std::uint64_t tick);

  /// One reading. Ignored unless streaming; dropped and counted while the ring is full of batches
  /// that the link did not take. Ticks more than half a period off the rhythm begin a new batch.
  void sample(const SampleCounts& counts, std::uint64_t tick);

  /// Battery 0–100 or kUnknownBattery; temperature in 0.01 °C or kUnknownTemperature.
  void set_health(std::uint8_t battery_percent, std::int16_t temperature_centi);

  /// Writes the whole frames that wait and fit, answers first, then resent and new batches in
  /// turn; returns the bytes written. kMaxEncodedFrameBytes always lets at least one through.
  [[nodiscard]] std::size_t transmit(std::span<std::uint8_t> out, std::uint64_t tick);

  [[nodiscard]] DeviceState state() const { return state_; }
  [[nodiscard]] Rate rate() const { return identity_.rate; }  ///< to sample at
  [[nodiscard]] std::uint8_t batch_samples() const { return batch_samples_; }
  [[nodiscard]] const Identity& identity() const { return identity_; }
  [[nodiscard]] const DeviceCounts& counts() const { return counts_; }
  [[nodiscard]] const DecoderCounts& received() const { return decoder_.counts(); }
  [[nodiscard]] const BatchRing& ring() const { return ring_; }

  /// False while a sample at this tick would be dropped for want of room.
  [[nodiscard]] bool has_room(std::uint64_t tick) const;

 private:
  /// An answer that waits for the link; encoded when it leaves, so that T3 is true.
  struct Reply {
    MessageType type{};
    MessageType to{};  ///< what it answers
    RefuseReason reason{};
    std::uint16_t request = 0;
    std::uint32_t sequence = 0;
    std::uint64_t host_token = 0;
    std::uint64_t received_tick = 0;
  };
  struct Resend {
    std::uint16_t request = 0;
    std::uint32_t next = 0;
    std::uint32_t last = 0;
  };

  void handle(const Frame& frame, std::uint64_t tick);
  void on(const Identify& message, std::uint64_t tick);
  void on(const Configure& message, std::uint64_t tick);
  void on(const Start& message, std::uint64_t tick);
  void on(const Stop& message, std::uint64_t tick);
  void on(const ClockPing& message, std::uint64_t tick);
  void on(const ResendRequest& message, std::uint64_t tick);
  template <class Message>
  void take(const Frame& frame, std::uint64_t tick);

  void reply(const Reply& reply);
  void refuse(MessageType to, std::uint16_t request, RefuseReason reason,
              std::uint32_t sequence = 0);
  [[nodiscard]] bool choose_rate(Rate asked, Rate& chosen) const;
  [[nodiscard]] bool breaks_rhythm(std::uint64_t tick) const;
  void close_batch();

  [[nodiscard]] std::size_t send_next(std::span<std::uint8_t> out, std::uint64_t tick);
  [[nodiscard]] std::size_t encode_reply(const Reply& reply, std::span<std::uint8_t> out,
                                         std::uint64_t tick) const;
  [[nodiscard]] std::size_t send_reply(std::span<std::uint8_t> out, std::uint64_t tick);
  [[nodiscard]] std::size_t send_status(std::span<std::uint8_t> out, std::uint64_t tick);
  [[nodiscard]] std::size_t send_resent(std::span<std::uint8_t> out);
  [[nodiscard]] std::size_t send_new(std::span<std::uint8_t> out);

  DeviceTraits traits_;
  Identity identity_;
  BatchRing ring_;
  FrameDecoder decoder_;
  DeviceCounts counts_;
  DeviceState state_ = DeviceState::idle;
  std::uint8_t batch_samples_ = 0;
  std::uint16_t settings_check_ = 0;
  std::uint8_t battery_percent_ = kUnknownBattery;
  std::int16_t temperature_centi_ = kUnknownTemperature;

  SampleBatch* open_ = nullptr;  ///< in the ring
  std::uint64_t last_tick_ = 0;  ///< of the newest sample in the open batch
  std::uint32_t start_sequence_ = 0;

  bool delimiter_due_ = true;  ///< ends whatever the host heard before this link
  bool new_batch_next_ = false;
  bool status_due_ = false;
  std::uint64_t status_tick_ = 0;  ///< when the last status left
  std::array<Reply, kReplySlots> replies_{};
  std::size_t reply_first_ = 0, reply_count_ = 0;
  std::array<Resend, kResendSlots> resends_{};
  std::size_t resend_first_ = 0, resend_count_ = 0;
};

}  // namespace strapline::firmware_protocol
