#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "strapline/firmware_protocol/constants.hpp"

/// The messages as plain structs. Field order here is the order on the wire (PROTOCOL.md).
/// Every message has `kType`, and `kBytes`: the payload that a reader needs at least (for
/// Identity and SampleBatch without the name's and the samples' bytes). Bytes beyond it are
/// ignored, so that later versions can append fields.
namespace strapline::firmware_protocol {

/// A rate in Hz as an exact fraction: 104, 285 5/7 and 127.9 Hz all have one.
struct Rate {
  std::uint32_t numerator = 0;
  std::uint32_t denominator = 1;
  bool operator==(const Rate&) const = default;
};

/// A short text, not terminated.
struct PartName {
  std::array<char, kMaxPartNameBytes> text{};
  std::uint8_t length = 0;
  bool operator==(const PartName&) const = default;
};

// From the host. `request` is chosen by the host and comes back in the answer.

/// Who are you? Answered in every state by Identity, then Status.
struct Identify {
  static constexpr MessageType kType = MessageType::identify;
  static constexpr std::size_t kBytes = 2;
  std::uint16_t request = 0;
  bool operator==(const Identify&) const = default;
};

/// Answered by Configured or Refuse.
struct Configure {
  static constexpr MessageType kType = MessageType::configure;
  static constexpr std::size_t kBytes = 11;
  std::uint16_t request = 0;
  Rate rate;                       ///< numerator 0: the strap's default
  std::uint8_t batch_samples = 0;  ///< samples per batch; 0: the strap's default
  bool operator==(const Configure&) const = default;
};

/// Answered by Acknowledge or Refuse. Repeating it while streaming changes nothing.
struct Start {
  static constexpr MessageType kType = MessageType::start;
  static constexpr std::size_t kBytes = 2;
  std::uint16_t request = 0;
  bool operator==(const Start&) const = default;
};

/// Answered by Acknowledge, in every state. The samples collected so far go out as a short batch.
struct Stop {
  static constexpr MessageType kType = MessageType::stop;
  static constexpr std::size_t kBytes = 2;
  std::uint16_t request = 0;
  bool operator==(const Stop&) const = default;
};

/// Answered by ClockPong, in every state.
struct ClockPing {
  static constexpr MessageType kType = MessageType::clock_ping;
  static constexpr std::size_t kBytes = 8;
  std::uint64_t host_token = 0;  ///< T1, whatever the host likes; comes back unchanged
  bool operator==(const ClockPing&) const = default;
};

/// Answered by the batches (flag kBatchResent) and, for those that cannot come, by Refuse.
struct ResendRequest {
  static constexpr MessageType kType = MessageType::resend_request;
  static constexpr std::size_t kBytes = 10;
  std::uint16_t request = 0;
  std::uint32_t first_sequence = 0;
  std::uint32_t last_sequence = 0;  ///< inclusive
  bool operator==(const ResendRequest&) const = default;
};

// From the strap.

struct Identity {
  static constexpr MessageType kType = MessageType::identity;
  static constexpr std::size_t kBytes = 49;
  std::uint16_t request = 0;
  std::uint64_t device_id = 0;
  std::uint32_t firmware_version = 0;  ///< major << 16 | minor << 8 | patch
  std::uint32_t tick_hz = 0;           ///< nominal device ticks per second
  Rate rate;                           ///< true sample rate now in force, by device clock
  std::uint64_t acc_scale_pico = 0;    ///< 1e-12 m/s² per count
  std::uint64_t gyr_scale_pico = 0;    ///< 1e-12 rad/s per count
  std::uint16_t full_scale_count = 0;  ///< |count| at or above it is saturated; 0: unknown
  std::uint8_t max_batch_samples = 0;  ///< the most that configure may ask for
  std::uint16_t ring_batches = 0;      ///< how many sent batches can be asked for again
  DeviceState state = DeviceState::idle;
  PartName part_name;  ///< of the sensor part; length byte, then the text
  bool operator==(const Identity&) const = default;
};

/// What is in force after configure.
struct Configured {
  static constexpr MessageType kType = MessageType::configured;
  static constexpr std::size_t kBytes = 13;
  std::uint16_t request = 0;
  Rate rate;  ///< true sample rate by device clock
  std::uint8_t batch_samples = 0;
  std::uint16_t settings_check = 0;  ///< settings_check() of the identity and this rate
  bool operator==(const Configured&) const = default;
};

struct Acknowledge {
  static constexpr MessageType kType = MessageType::acknowledge;
  static constexpr std::size_t kBytes = 7;
  std::uint16_t request = 0;
  MessageType acknowledged = MessageType::start;
  std::uint32_t sequence = 0;  ///< start: the first batch of this stream; stop: one past the last
  bool operator==(const Acknowledge&) const = default;
};

struct Refuse {
  static constexpr MessageType kType = MessageType::refuse;
  static constexpr std::size_t kBytes = 8;
  std::uint16_t request = 0;  ///< 0 where the request was too short to hold one
  MessageType refused = MessageType::start;
  RefuseReason reason = RefuseReason::malformed;
  std::uint32_t sequence = 0;  ///< batch_gone, batch_not_sent: see RefuseReason
  bool operator==(const Refuse&) const = default;
};

struct ClockPong {
  static constexpr MessageType kType = MessageType::clock_pong;
  static constexpr std::size_t kBytes = 24;
  std::uint64_t host_token = 0;     ///< T1
  std::uint64_t received_tick = 0;  ///< T2, device ticks
  std::uint64_t sent_tick = 0;      ///< T3, device ticks
  bool operator==(const ClockPong&) const = default;
};

/// Sent after Identity, once a second, and after stop.
struct Status {
  static constexpr MessageType kType = MessageType::status;
  static constexpr std::size_t kBytes = 26;
  std::uint64_t tick = 0;
  DeviceState state = DeviceState::idle;
  std::uint8_t battery_percent = kUnknownBattery;  ///< 0–100 (as Bluetooth SIG 2A19), or 255
  std::int16_t temperature_centi = kUnknownTemperature;  ///< 0.01 °C
  std::uint32_t dropped_samples = 0;    ///< never batched: output congested, since start
  std::uint32_t saturated_samples = 0;  ///< with a count at full scale, since start
  std::uint32_t corrupt_frames = 0;     ///< received and not understood, since power-up
  std::uint16_t settings_check = 0;
  bool operator==(const Status&) const = default;
};

/// One reading: ax ay az gx gy gz in raw counts.
using SampleCounts = std::array<std::int16_t, kChannels>;

/// Evenly spaced samples; a gap in the readings begins a new batch.
struct SampleBatch {
  static constexpr MessageType kType = MessageType::sample_batch;
  static constexpr std::size_t kBytes = 20;  ///< without the samples
  std::uint32_t sequence = 0;
  std::uint64_t first_tick = 0;      ///< device tick of samples[0]
  std::uint32_t span_ticks = 0;      ///< from samples[0] to samples[count - 1]
  std::uint16_t settings_check = 0;  ///< which scales and rate the counts belong to
  std::uint8_t flags = 0;            ///< kBatchResent; unknown bits are ignored
  std::uint8_t count = 0;            ///< 1 to kMaxBatchSamples
  std::array<SampleCounts, kMaxBatchSamples> samples{};  ///< the first `count` are valid

  /// Device tick of sample i < count, rounded down.
  [[nodiscard]] constexpr std::uint64_t tick_of(std::size_t i) const {
    return count < 2 ? first_tick : first_tick + std::uint64_t{span_ticks} * i / (count - 1U);
  }
  /// Compares the samples up to `count`.
  [[nodiscard]] bool operator==(const SampleBatch& other) const;
};

/// Writes the payload; the number of bytes, or 0 if it does not fit (no payload is empty).
[[nodiscard]] std::size_t encode_payload(const Identify&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Configure&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Start&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Stop&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const ClockPing&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const ResendRequest&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Identity&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Configured&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Acknowledge&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Refuse&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const ClockPong&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const Status&, std::span<std::uint8_t> out);
[[nodiscard]] std::size_t encode_payload(const SampleBatch&, std::span<std::uint8_t> out);

/// Reads a payload; trailing bytes are ignored. False, and the message unspecified, where the
/// payload is too short or holds an impossible value (a rate over zero, too many samples).
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Identify& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Configure& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Start& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Stop& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, ClockPing& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, ResendRequest& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Identity& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Configured& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Acknowledge& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Refuse& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, ClockPong& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, Status& out);
[[nodiscard]] bool decode_payload(std::span<const std::uint8_t> payload, SampleBatch& out);

/// CRC-16 over what the counts' meaning hangs on: device id, firmware version, tick rate, `rate`,
/// both scales and the full-scale count. A batch whose check differs belongs to another strap or
/// to settings that are no longer in force, and must not be scaled with this identity.
[[nodiscard]] std::uint16_t settings_check(const Identity& identity, Rate rate);

}  // namespace strapline::firmware_protocol
