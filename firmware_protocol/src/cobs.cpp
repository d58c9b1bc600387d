#include "strapline/firmware_protocol/cobs.hpp"

namespace strapline::firmware_protocol {
namespace {

constexpr std::uint8_t kFullBlock = 0xFF;  // 254 bytes follow, and no zero is implied after them

}  // namespace

std::size_t cobs_encode(std::span<const std::uint8_t> in, std::span<std::uint8_t> out) {
  if (out.empty()) return 0;
  std::size_t code_at = 0;
  std::size_t used = 1;
  std::uint8_t code = 1;
  for (std::size_t i = 0; i < in.size(); ++i) {
    if (in[i] != 0) {
      if (used == out.size()) return 0;
      out[used++] = in[i];
      ++code;
    }
    const bool full = code == kFullBlock && i + 1 < in.size();
    if (in[i] == 0 || full) {
      out[code_at] = code;
      if (used == out.size()) return 0;
      code_at = used++;
      code = 1;
    }
  }
  out[code_at] = code;
  return used;
}

std::optional<std::size_t> cobs_decode(std::span<const std::uint8_t> in,
                                       std::span<std::uint8_t> out) {
  if (in.empty()) return std::nullopt;
  std::size_t read = 0;
  std::size_t used = 0;
  while (read < in.size()) {
    const std::uint8_t code = in[read++];
    const std::size_t block = code - std::size_t{1};
    if (code == 0 || in.size() - read < block || out.size() - used < block) return std::nullopt;
    for (std::size_t i = 0; i < block; ++i) {
      const std::uint8_t byte = in[read++];
      if (byte == 0) return std::nullopt;
      out[used++] = byte;
    }
    if (code != kFullBlock && read < in.size()) {
      if (used == out.size()) return std::nullopt;
      out[used++] = 0;
    }
  }
  return used;
}

}  // namespace strapline::firmware_protocol
