#include "missing_batches.hpp"

namespace strapline::acquisition {

void MissingBatches::add(std::int64_t first, std::int64_t end, std::int64_t now_ns) {
  for (std::int64_t sequence = first; sequence < end; ++sequence) {
    missing_.try_emplace(sequence, Entry{now_ns + policy_.delay_ns, 0});
  }
}

std::vector<SequenceRange> MissingBatches::due(std::int64_t now_ns) {
  std::vector<SequenceRange> ranges;
  for (auto entry = missing_.begin(); entry != missing_.end();) {
    auto& [sequence, state] = *entry;
    if (state.due_ns > now_ns) {
      ++entry;
      continue;
    }
    if (state.attempts >= policy_.attempts) {
      entry = missing_.erase(entry);
      continue;
    }
    const bool continues = !ranges.empty() && ranges.back().last + 1 == sequence;
    if (!continues && ranges.size() == policy_.max_ranges) break;
    if (continues) {
      ranges.back().last = sequence;
    } else {
      ranges.push_back({sequence, sequence});
    }
    ++state.attempts;
    state.due_ns = now_ns + policy_.interval_ns;
    ++entry;
  }
  return ranges;
}

}  // namespace strapline::acquisition
