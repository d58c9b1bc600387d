#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "strapline/firmware_protocol/frame.hpp"

namespace strapline::acquisition {

/// Cuts a byte stream behind each delimiter without judging what lies between, so that even a
/// corrupt frame reaches the journal as it came. Endless rubbish is cut at a bounded length.
class FrameSplitter {
 public:
  /// Calls `piece(std::span<const std::uint8_t>)` for each whole piece; keeps the rest.
  template <class Piece>
  void feed(std::span<const std::uint8_t> bytes, Piece&& piece) {
    for (const std::uint8_t byte : bytes) {
      pending_.push_back(byte);
      if (byte != firmware_protocol::kDelimiter && pending_.size() < kMaxPiece) continue;
      piece(std::span<const std::uint8_t>(pending_));
      pending_.clear();
    }
  }
  void reset() { pending_.clear(); }

 private:
  static constexpr std::size_t kMaxPiece = 2 * firmware_protocol::kMaxEncodedFrameBytes;
  std::vector<std::uint8_t> pending_;
};

}  // namespace strapline::acquisition
