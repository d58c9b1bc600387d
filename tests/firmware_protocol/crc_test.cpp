#include <array>
#include <cstdint>
#include <numeric>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

#include "strapline/firmware_protocol/crc16.hpp"
#include "strapline/firmware_protocol/crc32c.hpp"

namespace strapline::firmware_protocol {
namespace {

std::vector<std::uint8_t> ascii(std::string_view text) { return {text.begin(), text.end()}; }

struct Check {
  std::vector<std::uint8_t> bytes;
  std::uint32_t crc;
};

// RFC 3720 appendix B.4 (and the check value of "123456789" for CRC-32C). The RFC prints the
// bytes as an iSCSI wire carries them (AA 36 91 8A); as integers they read the other way round.
TEST(Crc32c, Rfc3720AppendixB4) {
  std::vector<std::uint8_t> up(32);
  std::iota(up.begin(), up.end(), std::uint8_t{0});
  const std::vector<std::uint8_t> down(up.rbegin(), up.rend());
  const std::vector<Check> checks = {
      {ascii("123456789"), 0xE3069283},
      {std::vector<std::uint8_t>(32, 0x00), 0x8A9136AA},
      {std::vector<std::uint8_t>(32, 0xFF), 0x62A8AB43},
      {up, 0x46DD794E},
      {down, 0x113FDB5C},
  };
  for (const Check& check : checks) EXPECT_EQ(crc32c(check.bytes), check.crc);
}

// AUTOSAR CRC library 4.2.2, CRC16 with polynomial 1021 and initial value FFFF.
TEST(Crc16, AutosarCrcLibrary422) {
  const std::vector<Check> checks = {
      {ascii("123456789"), 0x29B1},
      {{0x00, 0x00, 0x00, 0x00}, 0x84C0},
      {{0xF2, 0x01, 0x83}, 0xD374},
      {{0x0F, 0xAA, 0x00, 0x55}, 0x2023},
      {{0x00, 0xFF, 0x55, 0x11}, 0xB8F9},
      {{0x33, 0x22, 0x55, 0xAA, 0xBB, 0xCC, 0xDD, 0xEE, 0xFF}, 0xF53F},
      {{0x92, 0x6B, 0x55}, 0x0745},
      {{0xFF, 0xFF, 0xFF, 0xFF}, 0x1D0F},
  };
  for (const Check& check : checks) EXPECT_EQ(crc16(check.bytes), check.crc);
}

TEST(Crc, ContinuesOverPieces) {
  const auto whole = ascii("123456789");
  const std::span<const std::uint8_t> bytes(whole);
  for (std::size_t cut = 0; cut <= bytes.size(); ++cut) {
    EXPECT_EQ(crc32c(bytes.subspan(cut), crc32c(bytes.first(cut))), 0xE3069283U) << cut;
    EXPECT_EQ(crc16(bytes.subspan(cut), crc16(bytes.first(cut))), 0x29B1U) << cut;
  }
}

}  // namespace
}  // namespace strapline::firmware_protocol
