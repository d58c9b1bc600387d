#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "strapline/firmware_protocol/frame.hpp"

namespace strapline::firmware_protocol {

/// A frame whose check held. Points into the decoder: valid until its next call.
struct Frame {
  MessageType type{};  ///< may be one that this version does not know
  std::span<const std::uint8_t> payload;
  std::span<const std::uint8_t> bytes;  ///< header, payload and check, as sent before COBS
};

/// What a decoder has seen. Everything that it throws away is in one of these.
struct DecoderCounts {
  std::uint64_t frames = 0;         ///< given out
  std::uint64_t corrupt = 0;        ///< not COBS, too short, or the check failed
  std::uint64_t oversized = 0;      ///< longer than any valid frame
  std::uint64_t other_version = 0;  ///< check held, version is not ours
  bool operator==(const DecoderCounts&) const = default;
  [[nodiscard]] std::uint64_t lost() const { return corrupt + oversized + other_version; }
};

/// Finds frames in a stream of bytes that arrives in any chunks; the same stream gives the same
/// frames and counts however it is cut. Bounded: holds one encoded frame, whatever arrives.
/// After damage it trusts nothing up to the next delimiter.
///
///     FrameDecoder decoder;
///     std::span<const std::uint8_t> rest = chunk;
///     while (auto frame = decoder.next(rest)) handle(*frame);
class FrameDecoder {
 public:
  /// Consumes `input` up to and including the end of the next good frame, and gives that frame;
  /// empty when the input is used up.
  [[nodiscard]] std::optional<Frame> next(std::span<const std::uint8_t>& input);

  [[nodiscard]] const DecoderCounts& counts() const { return counts_; }

  /// Bytes of a frame whose delimiter has not come yet.
  [[nodiscard]] std::size_t pending_bytes() const { return used_; }

  /// Forgets an unfinished frame (a link was opened anew); the counts stay.
  void reset();

 private:
  [[nodiscard]] std::optional<Frame> finish();

  std::array<std::uint8_t, kMaxEncodedFrameBytes> buffer_{};
  std::size_t used_ = 0;
  bool overflowed_ = false;
  DecoderCounts counts_;
};

}  // namespace strapline::firmware_protocol
