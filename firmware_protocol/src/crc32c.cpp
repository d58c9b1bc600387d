#include "strapline/firmware_protocol/crc32c.hpp"

#include <array>

namespace strapline::firmware_protocol {
namespace {

constexpr std::uint32_t kReflectedPolynomial = 0x82F63B78;  // 0x1EDC6F41, RFC 3720 section 12.1

constexpr std::array<std::uint32_t, 256> make_table() {
  std::array<std::uint32_t, 256> table{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t value = i;
    for (int bit = 0; bit < 8; ++bit) {
      value = (value >> 1) ^ ((value & 1U) != 0 ? kReflectedPolynomial : 0U);
    }
    table[i] = value;
  }
  return table;
}

constexpr auto kTable = make_table();

}  // namespace

std::uint32_t crc32c(std::span<const std::uint8_t> bytes, std::uint32_t crc) {
  std::uint32_t value = ~crc;
  for (const std::uint8_t byte : bytes) {
    value = kTable[(value ^ byte) & 0xFFU] ^ (value >> 8);
  }
  return ~value;
}

}  // namespace strapline::firmware_protocol
