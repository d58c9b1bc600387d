#include "strapline/firmware_protocol/crc16.hpp"

namespace strapline::firmware_protocol {

// Bit by bit: it runs over some forty bytes at power-up and configure, so a table is not worth
// its 512 bytes of flash.
std::uint16_t crc16(std::span<const std::uint8_t> bytes, std::uint16_t crc) {
  unsigned value = crc;
  for (const std::uint8_t byte : bytes) {
    value ^= static_cast<unsigned>(byte) << 8;
    for (int bit = 0; bit < 8; ++bit) {
      value = (value << 1) ^ ((value & 0x8000U) != 0 ? 0x1021U : 0U);
    }
  }
  return static_cast<std::uint16_t>(value);
}

}  // namespace strapline::firmware_protocol
