#pragma once

#include <cstdint>
#include <span>

namespace strapline::firmware_protocol {

/// CRC-16 with polynomial 0x1021, initial value 0xFFFF, no reflection, no final inversion (AUTOSAR
/// CRC library 4.2.2). Continue over several pieces by passing the result so far as `crc`.
/// Used for settings_check(): two bytes that tie a batch to the scales it was measured with.
[[nodiscard]] std::uint16_t crc16(std::span<const std::uint8_t> bytes, std::uint16_t crc = 0xFFFF);

}  // namespace strapline::firmware_protocol
