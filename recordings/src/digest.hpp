#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace strapline::recordings {

/// 64-bit FNV-1a (Fowler, Noll, Vo; draft-eastlake-fnv): offset basis cbf29ce484222325, prime
/// 100000001b3, one byte at a time. Numbers go in as little-endian bytes, so that every machine
/// finds the same digest.
class Digest {
 public:
  void add(std::string_view bytes) {
    for (const char byte : bytes) add_byte(static_cast<unsigned char>(byte));
  }
  void add(std::uint64_t value) {
    for (int i = 0; i < 8; ++i) add_byte(static_cast<unsigned char>(value >> (8 * i) & 0xffU));
  }
  void add(std::uint32_t value) {
    for (int i = 0; i < 4; ++i) add_byte(static_cast<unsigned char>(value >> (8 * i) & 0xffU));
  }
  void add(double value);

  [[nodiscard]] std::uint64_t value() const { return state_; }
  [[nodiscard]] std::string hex() const;

 private:
  void add_byte(unsigned char byte) { state_ = (state_ ^ byte) * 0x100000001b3ULL; }
  std::uint64_t state_ = 0xcbf29ce484222325ULL;
};

}  // namespace strapline::recordings
