#include "strapline/firmware_protocol/bytes.hpp"

namespace strapline::firmware_protocol {

void ByteWriter::put(std::uint64_t value, std::size_t bytes) {
  if (!ok_ || out_.size() - used_ < bytes) {
    ok_ = false;
    return;
  }
  for (std::size_t i = 0; i < bytes; ++i) {
    out_[used_++] = static_cast<std::uint8_t>(value >> (8 * i));
  }
}

std::uint64_t ByteReader::get(std::size_t bytes) {
  if (!ok_ || in_.size() - used_ < bytes) {
    ok_ = false;
    return 0;
  }
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < bytes; ++i) {
    value |= std::uint64_t{in_[used_++]} << (8 * i);
  }
  return value;
}

}  // namespace strapline::firmware_protocol
