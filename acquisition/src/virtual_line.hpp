#pragma once

#include <cstdint>
#include <deque>
#include <random>
#include <span>
#include <vector>

#include "strapline/acquisition/virtual_strap.hpp"

namespace strapline::acquisition {

/// The way from a virtual strap to the host, with the faults that it was given.
class VirtualLine {
 public:
  explicit VirtualLine(const VirtualFaults& faults) : faults_(faults), random_(faults.seed) {}

  /// Whole frames from the device, at playback clock `now_ns`.
  void carry(std::span<const std::uint8_t> frames, std::int64_t now_ns);
  /// What has arrived by now, at most about `limit` bytes.
  [[nodiscard]] std::vector<std::uint8_t> arrived(std::int64_t now_ns, std::size_t limit);
  /// The link broke: what was under way is lost.
  void clear();

  [[nodiscard]] std::size_t bytes_under_way() const { return bytes_under_way_; }
  [[nodiscard]] std::uint64_t batches_swallowed() const { return batches_swallowed_; }
  [[nodiscard]] std::uint64_t bytes_corrupted() const { return bytes_corrupted_; }
  void forget_counts() { batches_swallowed_ = bytes_corrupted_ = 0; }

 private:
  struct UnderWay {
    std::int64_t due_ns = 0;
    std::vector<std::uint8_t> bytes;
  };

  [[nodiscard]] bool swallows(std::span<const std::uint8_t> frame);
  void corrupt(std::vector<std::uint8_t>& bytes);
  [[nodiscard]] bool happens(double fraction);

  VirtualFaults faults_;
  std::mt19937 random_;
  std::deque<UnderWay> queue_;
  std::size_t bytes_under_way_ = 0;
  std::uint64_t batches_swallowed_ = 0;
  std::uint64_t bytes_corrupted_ = 0;
};

}  // namespace strapline::acquisition
