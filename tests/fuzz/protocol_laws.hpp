#pragma once

#include <cstdint>
#include <span>
#include <string>

/// Laws that hold for every sequence of bytes; used by the coverage-guided fuzzer and, with random
/// bytes, by the ordinary suite. Each returns "" or what was broken.
namespace strapline::firmware_protocol::laws {

/// The stream in one piece and cut as `cuts` says gives the same frames and counts; no more bytes
/// are held than a frame has; every good frame encodes back to itself.
[[nodiscard]] std::string decoder(std::span<const std::uint8_t> stream,
                                  std::span<const std::uint8_t> cuts);

/// Reads `script` as host bytes, samples, jumps of the tick, and links that take little or much,
/// and holds a device to its promises: whole frames only, new batches in unbroken order, every
/// sample accepted or counted as dropped, resent batches equal to what was sent.
[[nodiscard]] std::string device(std::span<const std::uint8_t> script);

}  // namespace strapline::firmware_protocol::laws
