#include "strapline/firmware_protocol/frame.hpp"

#include "strapline/firmware_protocol/bytes.hpp"
#include "strapline/firmware_protocol/crc32c.hpp"

namespace strapline::firmware_protocol {

std::size_t encode_frame(MessageType type, std::span<const std::uint8_t> payload,
                         std::span<std::uint8_t> out) {
  if (payload.size() > kMaxPayloadBytes || out.empty()) return 0;
  std::array<std::uint8_t, kMaxFrameBytes> frame{};
  ByteWriter bytes(frame);
  bytes.u8(kProtocolVersion);
  bytes.u8(static_cast<std::uint8_t>(type));
  for (const std::uint8_t byte : payload) bytes.u8(byte);
  bytes.u32(crc32c(std::span<const std::uint8_t>(frame.data(), bytes.size())));

  const std::span<const std::uint8_t> whole(frame.data(), bytes.size());
  const std::size_t encoded = cobs_encode(whole, out.first(out.size() - 1));
  if (encoded == 0) return 0;
  out[encoded] = kDelimiter;
  return encoded + 1;
}

}  // namespace strapline::firmware_protocol
