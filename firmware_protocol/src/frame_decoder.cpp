#include "strapline/firmware_protocol/frame_decoder.hpp"

#include "strapline/firmware_protocol/bytes.hpp"
#include "strapline/firmware_protocol/crc32c.hpp"

namespace strapline::firmware_protocol {

std::optional<Frame> FrameDecoder::next(std::span<const std::uint8_t>& input) {
  while (!input.empty()) {
    const std::uint8_t byte = input.front();
    input = input.subspan(1);
    if (byte == kDelimiter) {
      if (const auto frame = finish()) return frame;
    } else if (used_ == cobs_max_encoded_bytes(kMaxFrameBytes)) {
      overflowed_ = true;
    } else {
      buffer_[used_++] = byte;
    }
  }
  return std::nullopt;
}

std::optional<Frame> FrameDecoder::finish() {
  const std::size_t encoded = used_;
  const bool overflowed = overflowed_;
  reset();
  if (encoded == 0) return std::nullopt;  // delimiters in a row are padding
  if (overflowed) {
    ++counts_.oversized;
    return std::nullopt;
  }
  const auto bytes = cobs_decode(std::span<const std::uint8_t>(buffer_.data(), encoded), buffer_);
  if (!bytes || *bytes < kHeaderBytes + kCheckBytes || *bytes > kMaxFrameBytes) {
    ++counts_.corrupt;
    return std::nullopt;
  }
  const std::span<const std::uint8_t> whole(buffer_.data(), *bytes);
  const auto checked = whole.first(*bytes - kCheckBytes);
  if (ByteReader(whole.last(kCheckBytes)).u32() != crc32c(checked)) {
    ++counts_.corrupt;
    return std::nullopt;
  }
  if (whole[0] != kProtocolVersion) {
    ++counts_.other_version;
    return std::nullopt;
  }
  ++counts_.frames;
  return Frame{static_cast<MessageType>(whole[1]), checked.subspan(kHeaderBytes), whole};
}

void FrameDecoder::reset() {
  used_ = 0;
  overflowed_ = false;
}

}  // namespace strapline::firmware_protocol
