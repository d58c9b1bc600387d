#include "strapline/firmware_protocol/batch_ring.hpp"

namespace strapline::firmware_protocol {

// Sequence numbers do not wrap: 2^32 batches at twenty a second last for six years.

SampleBatch* BatchRing::open() {
  if (!has_room(0)) return nullptr;
  if (next_ - oldest_ == memory_.size()) ++oldest_;
  SampleBatch& batch = slot(next_);
  batch.sequence = next_;
  batch.count = 0;
  batch.flags = 0;
  batch.span_ticks = 0;
  return &batch;
}

void BatchRing::close() { ++next_; }

const SampleBatch* BatchRing::next_unsent() const {
  return unsent_ == next_ ? nullptr : &slot(unsent_);
}

const SampleBatch* BatchRing::sent(std::uint32_t sequence) const {
  return sequence >= oldest_ && sequence < unsent_ ? &slot(sequence) : nullptr;
}

}  // namespace strapline::firmware_protocol
