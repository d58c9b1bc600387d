#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

namespace strapline::firmware_protocol {

/// Puts little-endian integers into a caller's span, byte by byte (no casts of structs, so no
/// padding, alignment or host byte order on the wire). Once something does not fit, nothing more
/// is written and ok() stays false.
class ByteWriter {
 public:
  explicit ByteWriter(std::span<std::uint8_t> out) : out_(out) {}

  void u8(std::uint8_t value) { put(value, 1); }
  void u16(std::uint16_t value) { put(value, 2); }
  void u32(std::uint32_t value) { put(value, 4); }
  void u64(std::uint64_t value) { put(value, 8); }
  void i16(std::int16_t value) { put(static_cast<std::uint16_t>(value), 2); }

  [[nodiscard]] bool ok() const { return ok_; }
  [[nodiscard]] std::size_t size() const { return used_; }  ///< bytes written

 private:
  void put(std::uint64_t value, std::size_t bytes);

  std::span<std::uint8_t> out_;
  std::size_t used_ = 0;
  bool ok_ = true;
};

/// Gets little-endian integers. Reading past the end gives zeros and makes ok() false for good.
class ByteReader {
 public:
  explicit ByteReader(std::span<const std::uint8_t> in) : in_(in) {}

  [[nodiscard]] std::uint8_t u8() { return static_cast<std::uint8_t>(get(1)); }
  [[nodiscard]] std::uint16_t u16() { return static_cast<std::uint16_t>(get(2)); }
  [[nodiscard]] std::uint32_t u32() { return static_cast<std::uint32_t>(get(4)); }
  [[nodiscard]] std::uint64_t u64() { return get(8); }
  [[nodiscard]] std::int16_t i16() { return static_cast<std::int16_t>(u16()); }

  [[nodiscard]] bool ok() const { return ok_; }
  [[nodiscard]] std::size_t remaining() const { return in_.size() - used_; }

 private:
  [[nodiscard]] std::uint64_t get(std::size_t bytes);

  std::span<const std::uint8_t> in_;
  std::size_t used_ = 0;
  bool ok_ = true;
};

}  // namespace strapline::firmware_protocol
