#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::firmware_protocol {

/// Batches in the order of their sequence numbers, in memory that the caller owns: first the queue
/// of those to be sent, afterwards the store from which they can be sent again. A batch that was
/// never sent is not overwritten; the oldest sent one is.
class BatchRing {
 public:
  explicit BatchRing(std::span<SampleBatch> memory) : memory_(memory) {}

  /// The slot for the next batch, its `sequence` set and `count` 0, or null while every slot holds
  /// a batch that was not sent yet. Opening gives up the oldest sent batch.
  [[nodiscard]] SampleBatch* open();
  void close();  ///< the open batch joins the queue

  /// Whether open() would find a slot, with `open_batches` (0 or 1) closed before.
  [[nodiscard]] bool has_room(std::uint32_t open_batches) const {
    return next_ + open_batches - unsent_ < memory_.size();
  }

  /// The oldest batch that was not sent, or null.
  [[nodiscard]] const SampleBatch* next_unsent() const;
  void mark_sent() { ++unsent_; }

  /// A batch that was sent and is still held, or null.
  [[nodiscard]] const SampleBatch* sent(std::uint32_t sequence) const;

  [[nodiscard]] std::uint32_t next_sequence() const { return next_; }      ///< of the next batch
  [[nodiscard]] std::uint32_t unsent_sequence() const { return unsent_; }  ///< of the next to send
  [[nodiscard]] std::uint32_t oldest_sequence() const { return oldest_; }  ///< of the oldest held
  [[nodiscard]] std::size_t capacity() const { return memory_.size(); }

 private:
  [[nodiscard]] SampleBatch& slot(std::uint32_t sequence) const {
    return memory_[sequence % memory_.size()];
  }

  std::span<SampleBatch> memory_;
  std::uint32_t next_ = 0;
  std::uint32_t unsent_ = 0;
  std::uint32_t oldest_ = 0;
};

}  // namespace strapline::firmware_protocol
