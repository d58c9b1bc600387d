#pragma once

#include <cstdint>
#include <map>
#include <vector>

namespace strapline::acquisition {

/// First and last sequence number, both included.
struct SequenceRange {
  std::int64_t first = 0, last = 0;
};

/// The batches that should be there and are not: when to ask for them again, and when to give up.
class MissingBatches {
 public:
  struct Policy {
    std::int64_t delay_ns = 0;     ///< before the first request
    std::int64_t interval_ns = 0;  ///< between requests
    int attempts = 0;
    std::size_t max_ranges = 0;  ///< per round
  };

  explicit MissingBatches(Policy policy) : policy_(policy) {}

  void add(std::int64_t first, std::int64_t end, std::int64_t now_ns);
  void arrived(std::int64_t sequence) { missing_.erase(sequence); }
  /// The strap holds nothing below any more.
  void give_up_below(std::int64_t sequence) {
    missing_.erase(missing_.begin(), missing_.lower_bound(sequence));
  }
  void give_up_all() { missing_.clear(); }

  /// What to ask for now, at most max_ranges; counts as an attempt. Batches whose attempts are
  /// used up are given up.
  [[nodiscard]] std::vector<SequenceRange> due(std::int64_t now_ns);

  [[nodiscard]] bool empty() const { return missing_.empty(); }
  [[nodiscard]] std::size_t size() const { return missing_.size(); }
  [[nodiscard]] bool contains(std::int64_t sequence) const { return missing_.contains(sequence); }

 private:
  struct Entry {
    std::int64_t due_ns = 0;
    int attempts = 0;
  };
  Policy policy_;
  std::map<std::int64_t, Entry> missing_;
};

}  // namespace strapline::acquisition
