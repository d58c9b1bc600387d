#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "strapline/acquisition/clock.hpp"
#include "strapline/acquisition/counter_unwrap.hpp"
#include "strapline/firmware_protocol/messages.hpp"

namespace strapline::acquisition {

/// What became of a batch.
enum class BatchFate : std::uint8_t { kNew, kResent, kLate, kDuplicate, kForeign };

struct BatchFiling {
  BatchFate fate{};
  std::int64_t sequence = 0;  ///< unwrapped
};

/// One uninterrupted life of a strap's counters, from power-up (or the session's begin) until it
/// restarts: sequence numbers and ticks mean one thing within it.
class StrapEpoch {
 public:
  BatchFiling take(const firmware_protocol::SampleBatch& batch, std::int64_t host_ns);
  void take(const firmware_protocol::ClockPong& pong, std::int64_t host_ns);
  void take(const firmware_protocol::Status& status, std::int64_t host_ns);
  /// The pong's ticks lie before those of an earlier one: the strap has restarted.
  [[nodiscard]] bool runs_backwards(const firmware_protocol::ClockPong& pong) const;
  /// Batches below belong to an earlier stream; the number dropped.
  std::size_t begin_stream(std::uint32_t first_sequence);
  void end_stream(std::uint32_t past_last_sequence);

  [[nodiscard]] bool streaming() const { return begin_ && !end_; }
  [[nodiscard]] std::optional<std::int64_t> begin() const { return begin_; }
  /// One past the last batch as far as known: the strap's word, or the newest one seen.
  [[nodiscard]] std::int64_t known_end() const;
  [[nodiscard]] const firmware_protocol::SampleBatch* find(std::int64_t sequence) const;
  [[nodiscard]] std::uint64_t lost() const;
  [[nodiscard]] std::size_t batch_count() const { return batches_.size(); }
  [[nodiscard]] std::size_t ping_count() const { return pings_.size(); }
  [[nodiscard]] std::optional<ClockFit> clock(double tick_hz, std::int64_t origin_ns) const;

  /// Appends all readings in order of their sequence, ticks shifted.
  void append_to(std::vector<std::int64_t>& ticks,
                 std::vector<firmware_protocol::SampleCounts>& counts, std::int64_t shift) const;
  [[nodiscard]] std::optional<std::int64_t> first_tick() const;
  /// Of the strap's own counts, those of this life.
  [[nodiscard]] const firmware_protocol::Status& last_status() const { return status_; }

 private:
  std::map<std::int64_t, firmware_protocol::SampleBatch> batches_;  ///< by unwrapped sequence
  CounterUnwrap sequence_{32};
  std::vector<Ping> pings_;
  std::vector<Arrival> arrivals_;  ///< only while there are no pings
  std::optional<std::int64_t> begin_, end_;
  firmware_protocol::Status status_;
};

}  // namespace strapline::acquisition
