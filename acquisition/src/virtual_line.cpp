#include "virtual_line.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/firmware_protocol/frame_decoder.hpp"

namespace strapline::acquisition {

namespace fp = firmware_protocol;

void VirtualLine::carry(std::span<const std::uint8_t> frames, std::int64_t now_ns) {
  const std::int64_t due_ns = now_ns + std::llround(faults_.delay_s * 1e9);
  while (!frames.empty()) {
    const auto end = std::find(frames.begin(), frames.end(), fp::kDelimiter);
    const std::size_t size = static_cast<std::size_t>(end - frames.begin()) + 1;
    const auto frame = frames.first(std::min(size, frames.size()));
    frames = frames.subspan(frame.size());
    if (swallows(frame)) {
      ++batches_swallowed_;
      continue;
    }
    queue_.push_back({due_ns, {frame.begin(), frame.end()}});
    bytes_under_way_ += frame.size();
    corrupt(queue_.back().bytes);
  }
}

// Only new batches: what is asked for again arrives.
bool VirtualLine::swallows(std::span<const std::uint8_t> frame) {
  if (faults_.drop_batches <= 0.0) return false;
  fp::FrameDecoder decoder;
  fp::SampleBatch batch;
  const auto decoded = decoder.next(frame);
  if (!decoded || decoded->type != fp::SampleBatch::kType ||
      !fp::decode_payload(decoded->payload, batch) || (batch.flags & fp::kBatchResent) != 0) {
    return false;
  }
  return happens(faults_.drop_batches);
}

void VirtualLine::corrupt(std::vector<std::uint8_t>& bytes) {
  if (faults_.corrupt_bytes <= 0.0) return;
  for (std::uint8_t& byte : bytes) {
    if (!happens(faults_.corrupt_bytes)) continue;
    byte ^= static_cast<std::uint8_t>(std::uniform_int_distribution<int>(1, 255)(random_));
    ++bytes_corrupted_;
  }
}

bool VirtualLine::happens(double fraction) {
  return std::uniform_real_distribution<double>(0.0, 1.0)(random_) < fraction;
}

std::vector<std::uint8_t> VirtualLine::arrived(std::int64_t now_ns, std::size_t limit) {
  std::vector<std::uint8_t> bytes;
  while (!queue_.empty() && queue_.front().due_ns <= now_ns && bytes.size() < limit) {
    const auto& first = queue_.front().bytes;
    bytes.insert(bytes.end(), first.begin(), first.end());
    bytes_under_way_ -= first.size();
    queue_.pop_front();
  }
  return bytes;
}

void VirtualLine::clear() {
  queue_.clear();
  bytes_under_way_ = 0;
}

}  // namespace strapline::acquisition
