#include "strap_epoch.hpp"

#include <algorithm>
#include <iterator>

namespace strapline::acquisition {
namespace fp = firmware_protocol;
namespace {

/// A pong that took longer answers another session, or is of no use to the clock.
constexpr std::int64_t kMaxRoundTrip_ns = 10'000'000'000;

// 64-bit ticks do not wrap within a strap's life; half of their range is enough.
std::int64_t to_tick(std::uint64_t raw) { return static_cast<std::int64_t>(raw); }

}  // namespace

BatchFiling StrapEpoch::take(const fp::SampleBatch& batch, std::int64_t host_ns) {
  const std::int64_t sequence = sequence_(batch.sequence);
  if (begin_ && sequence < *begin_) return {BatchFate::kForeign, sequence};
  const bool behind = !batches_.empty() && sequence < batches_.rbegin()->first;
  if (!batches_.emplace(sequence, batch).second) return {BatchFate::kDuplicate, sequence};
  if (pings_.empty()) arrivals_.push_back({to_tick(batch.first_tick), host_ns});
  if (!begin_) return {BatchFate::kNew, sequence};  // the start's acknowledgement is to come
  if ((batch.flags & fp::kBatchResent) != 0) return {BatchFate::kResent, sequence};
  return {behind ? BatchFate::kLate : BatchFate::kNew, sequence};
}

void StrapEpoch::take(const fp::ClockPong& pong, std::int64_t host_ns) {
  const auto sent_ns = static_cast<std::int64_t>(pong.host_token);
  if (sent_ns > host_ns || host_ns - sent_ns > kMaxRoundTrip_ns) return;
  arrivals_.clear();
  pings_.push_back({sent_ns, to_tick(pong.received_tick), to_tick(pong.sent_tick), host_ns});
}

// Two pings may be under way: the second can reach the strap before it has answered the first, so
// only the ticks of arrival are in order.
bool StrapEpoch::runs_backwards(const fp::ClockPong& pong) const {
  return !pings_.empty() && to_tick(pong.received_tick) < pings_.back().received_tick;
}

void StrapEpoch::take(const fp::Status& status, std::int64_t host_ns) {
  if (pings_.empty()) arrivals_.push_back({to_tick(status.tick), host_ns});
  status_ = status;
}

std::size_t StrapEpoch::begin_stream(std::uint32_t first_sequence) {
  begin_ = sequence_(first_sequence);
  status_ = {};  // the strap counts from each start
  const auto first = batches_.lower_bound(*begin_);
  const auto dropped = std::distance(batches_.begin(), first);
  batches_.erase(batches_.begin(), first);
  return static_cast<std::size_t>(dropped);
}

void StrapEpoch::end_stream(std::uint32_t past_last_sequence) {
  if (begin_) end_ = sequence_(past_last_sequence);
}

std::int64_t StrapEpoch::known_end() const {
  const std::int64_t seen = batches_.empty() ? begin_.value_or(0) : batches_.rbegin()->first + 1;
  return std::max(seen, end_.value_or(seen));
}

const fp::SampleBatch* StrapEpoch::find(std::int64_t sequence) const {
  const auto found = batches_.find(sequence);
  return found == batches_.end() ? nullptr : &found->second;
}

std::uint64_t StrapEpoch::lost() const {
  if (batches_.empty() && !begin_) return 0;
  const std::int64_t first = begin_ ? *begin_ : batches_.begin()->first;
  return static_cast<std::uint64_t>(known_end() - first) - batches_.size();
}

std::optional<ClockFit> StrapEpoch::clock(double tick_hz, std::int64_t origin_ns) const {
  if (!pings_.empty()) return fit_clock(pings_, tick_hz, origin_ns);
  return arrival_clock(arrivals_, tick_hz, origin_ns);
}

std::optional<std::int64_t> StrapEpoch::first_tick() const {
  if (batches_.empty()) return std::nullopt;
  return to_tick(batches_.begin()->second.first_tick);
}

// Ticks must increase strictly whatever a strap's clock did: a reading that does not is left out,
// which can only follow a fault in the strap.
void StrapEpoch::append_to(std::vector<std::int64_t>& ticks, std::vector<fp::SampleCounts>& counts,
                           std::int64_t shift) const {
  for (const auto& [sequence, batch] : batches_) {
    for (std::size_t i = 0; i < batch.count; ++i) {
      const std::int64_t tick = to_tick(batch.tick_of(i)) + shift;
      if (!ticks.empty() && tick <= ticks.back()) continue;
      ticks.push_back(tick);
      counts.push_back(batch.samples[i]);
    }
  }
}

}  // namespace strapline::acquisition
