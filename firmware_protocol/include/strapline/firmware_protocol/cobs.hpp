#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

/// Consistent overhead byte stuffing (Cheshire & Baker 1999, doi 10.1109/90.769765): the same
/// bytes without a zero among them, at most one byte longer per 254.
namespace strapline::firmware_protocol {

/// The longest encoding of `n` bytes, delimiter not included; reached when none of them is zero.
[[nodiscard]] constexpr std::size_t cobs_max_encoded_bytes(std::size_t n) {
  return n == 0 ? 1 : n + (n + 253) / 254;
}

/// Encodes without a delimiter. A last block that is full (254 bytes without a zero) is *not*
/// followed by an 01, so the bound above is exact. Returns the encoded length, 0 if `out` is too
/// short (no encoding is empty). `in` and `out` must not overlap.
[[nodiscard]] std::size_t cobs_encode(std::span<const std::uint8_t> in,
                                      std::span<std::uint8_t> out);

/// Decodes what stands between two delimiters; accepts an 01 after a full last block too. `out`
/// may begin where `in` begins: the decoder never writes ahead of where it reads. Empty where
/// `in` is no valid encoding or `out` is too short.
[[nodiscard]] std::optional<std::size_t> cobs_decode(std::span<const std::uint8_t> in,
                                                     std::span<std::uint8_t> out);

}  // namespace strapline::firmware_protocol
