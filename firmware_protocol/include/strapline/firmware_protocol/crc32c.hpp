#pragma once

#include <cstdint>
#include <span>

namespace strapline::firmware_protocol {

/// CRC-32C (Castagnoli; RFC 3720). Continue over several pieces by passing the result so far.
[[nodiscard]] std::uint32_t crc32c(std::span<const std::uint8_t> bytes, std::uint32_t crc = 0);

}  // namespace strapline::firmware_protocol
