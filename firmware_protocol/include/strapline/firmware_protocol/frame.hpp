#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "strapline/firmware_protocol/cobs.hpp"
#include "strapline/firmware_protocol/constants.hpp"
#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::firmware_protocol {

/// A whole frame on the wire: COBS of header, payload and check, then the delimiter.
inline constexpr std::size_t kMaxEncodedFrameBytes = cobs_max_encoded_bytes(kMaxFrameBytes) + 1;

/// Frames `payload` into `out`, delimiter included. The number of bytes, or 0 where the payload is
/// longer than kMaxPayloadBytes or `out` too short; kMaxEncodedFrameBytes is always enough.
[[nodiscard]] std::size_t encode_frame(MessageType type, std::span<const std::uint8_t> payload,
                                       std::span<std::uint8_t> out);

/// Encodes and frames one message; as encode_frame.
template <class Message>
[[nodiscard]] std::size_t encode_message(const Message& message, std::span<std::uint8_t> out) {
  std::array<std::uint8_t, kMaxPayloadBytes> payload{};
  const std::size_t bytes = encode_payload(message, payload);
  return bytes == 0 ? 0
                    : encode_frame(Message::kType,
                                   std::span<const std::uint8_t>(payload.data(), bytes), out);
}

}  // namespace strapline::firmware_protocol
