#pragma once

#include <cstddef>
#include <cstdint>

/// Numbers of the wire format; PROTOCOL.md holds the same ones, and a test compares the two.
namespace strapline::firmware_protocol {

/// First byte of every frame. Raised only when an old reader would misread the new bytes;
/// fields appended to a message and new message types leave it alone.
inline constexpr std::uint8_t kProtocolVersion = 1;

/// Ends every frame on the wire; COBS keeps it out of the frame itself.
inline constexpr std::uint8_t kDelimiter = 0;

inline constexpr std::size_t kHeaderBytes = 2;      ///< version, message type
inline constexpr std::size_t kCheckBytes = 4;       ///< CRC-32C, little-endian
inline constexpr std::size_t kMaxFrameBytes = 512;  ///< header, payload and check, before COBS
inline constexpr std::size_t kMaxPayloadBytes = kMaxFrameBytes - kHeaderBytes - kCheckBytes;

/// Samples in one batch, at most. Longer batches save few bytes and lose more with each lost frame;
/// a full one takes 23 ms on a line of 115200 baud.
inline constexpr std::size_t kMaxBatchSamples = 20;
inline constexpr std::size_t kChannels = 6;  ///< ax ay az gx gy gz
inline constexpr std::size_t kMaxPartNameBytes = 24;

inline constexpr std::uint8_t kUnknownBattery = 255;
inline constexpr std::int16_t kUnknownTemperature = INT16_MIN;

/// Bits of SampleBatch::flags.
inline constexpr std::uint8_t kBatchResent = 1;

/// Second byte of every frame: below 0x80 from the host, from 0x80 on from the strap.
enum class MessageType : std::uint8_t {
  identify = 0x01,
  configure = 0x02,
  start = 0x03,
  stop = 0x04,
  clock_ping = 0x05,
  resend_request = 0x06,
  identity = 0x81,
  configured = 0x82,
  acknowledge = 0x83,
  refuse = 0x84,
  clock_pong = 0x85,
  status = 0x86,
  sample_batch = 0x87,
};

/// Why a strap does not do what it was asked. Readers must expect values that they do not know.
enum class RefuseReason : std::uint8_t {
  malformed = 1,          ///< the request's payload is too short or holds an impossible value
  not_configured = 2,     ///< start before configure
  streaming = 3,          ///< configure while streaming: stop first
  unsupported_rate = 4,   ///< no rate of this strap lies within 10 % of the one asked for
  unsupported_batch = 5,  ///< more samples per batch than the strap can hold
  batch_gone = 6,         ///< the ring holds the batch no longer; `sequence` is the oldest held
  batch_not_sent = 7,     ///< a batch that was never sent; `sequence` is the next new one
  busy = 8,               ///< too many resend requests waiting
};

enum class DeviceState : std::uint8_t {
  idle = 0,        ///< not configured
  configured = 1,  ///< ready to start
  streaming = 2,
};

}  // namespace strapline::firmware_protocol
