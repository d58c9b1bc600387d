#include "strap_ledger.hpp"

#include <algorithm>
#include <cmath>

namespace strapline::acquisition {
namespace fp = firmware_protocol;
namespace {

// The life with the most pings has the best clock: the others are put on its ticks.
const StrapEpoch& base_of(const std::vector<StrapEpoch>& epochs) {
  return *std::max_element(epochs.begin(), epochs.end(), [](const auto& a, const auto& b) {
    return a.ping_count() < b.ping_count();
  });
}

// By how much ticks of another life must be moved to mean the same common time on `base`.
std::int64_t shift_onto(const ClockFit& base, const ClockFit& own, std::int64_t tick) {
  return std::llround((own.common_s(tick) - base.offset_s) / base.seconds_per_tick) - tick;
}

}  // namespace

void StrapLedger::link_event(LinkEvent event) {
  if (event != LinkEvent::kOpened) return;
  ++links_opened_;
  decoder_.reset();
}

void StrapLedger::take(std::int64_t host_ns, std::span<const std::uint8_t> bytes,
                       const Sink& sink) {
  while (const auto frame = decoder_.next(bytes)) decode(*frame, host_ns, sink);
}

template <class Message>
void StrapLedger::take_as(const fp::Frame& frame, std::int64_t host_ns, const Sink& sink) {
  Message message;
  if (!fp::decode_payload(frame.payload, message)) {
    ++malformed_;
    return;
  }
  if constexpr (std::is_same_v<Message, fp::SampleBatch>) {
    const BatchFiling filing = file_batch(message, host_ns);
    if (sink) sink(FiledBatch{filing, &message});
  } else {
    file(message, host_ns);
    if (sink) sink(message);
  }
}

void StrapLedger::decode(const fp::Frame& frame, std::int64_t host_ns, const Sink& sink) {
  switch (frame.type) {
    case fp::MessageType::identity:
      return take_as<fp::Identity>(frame, host_ns, sink);
    case fp::MessageType::configured:
      return take_as<fp::Configured>(frame, host_ns, sink);
    case fp::MessageType::acknowledge:
      return take_as<fp::Acknowledge>(frame, host_ns, sink);
    case fp::MessageType::refuse:
      return take_as<fp::Refuse>(frame, host_ns, sink);
    case fp::MessageType::clock_pong:
      return take_as<fp::ClockPong>(frame, host_ns, sink);
    case fp::MessageType::status:
      return take_as<fp::Status>(frame, host_ns, sink);
    case fp::MessageType::sample_batch:
      return take_as<fp::SampleBatch>(frame, host_ns, sink);
    default:
      return;  // of a later version, or the host's own: readers ignore what they do not know
  }
}

// A strap that should be streaming and is not has restarted (or was taken over): its sequence
// numbers and ticks may begin anew.
void StrapLedger::file(const fp::Identity& identity, std::int64_t) {
  if (identity_ && identity_->device_id != identity.device_id) {
    impostor_ = true;
    return;
  }
  if (!identity_) {
    identity_ = identity;
    rate_ = identity.rate;
    settings_check_ = fp::settings_check(identity, identity.rate);
  }
  if (epoch().streaming() && identity.state != fp::DeviceState::streaming) epochs_.emplace_back();
}

void StrapLedger::file(const fp::Configured& configured, std::int64_t) {
  rate_ = configured.rate;
  settings_check_ = configured.settings_check;
}

void StrapLedger::file(const fp::Acknowledge& acknowledge, std::int64_t) {
  if (acknowledge.acknowledged == fp::MessageType::start && !epoch().begin()) {
    counted_.foreign += epochs_.back().begin_stream(acknowledge.sequence);
  }
  if (acknowledge.acknowledged == fp::MessageType::stop) {
    epochs_.back().end_stream(acknowledge.sequence);
  }
}

void StrapLedger::file(const fp::Refuse&, std::int64_t) {}

void StrapLedger::file(const fp::ClockPong& pong, std::int64_t host_ns) {
  if (static_cast<std::int64_t>(pong.host_token) < origin_ns_) return;  // of an earlier session
  if (epoch().runs_backwards(pong)) epochs_.emplace_back();
  epochs_.back().take(pong, host_ns);
}

void StrapLedger::file(const fp::Status& status, std::int64_t host_ns) {
  epochs_.back().take(status, host_ns);
}

BatchFiling StrapLedger::file_batch(const fp::SampleBatch& batch, std::int64_t host_ns) {
  const bool known = identity_ && !impostor_ && batch.settings_check == settings_check_;
  const BatchFiling filing = known ? epochs_.back().take(batch, host_ns)
                                   : BatchFiling{BatchFate::kForeign, batch.sequence};
  const BatchFate fate = filing.fate;
  counted_.resent += fate == BatchFate::kResent ? 1U : 0U;
  counted_.late += fate == BatchFate::kLate ? 1U : 0U;
  counted_.duplicates += fate == BatchFate::kDuplicate ? 1U : 0U;
  counted_.foreign += fate == BatchFate::kForeign ? 1U : 0U;
  return filing;
}

LinkStatistics StrapLedger::statistics() const {
  LinkStatistics link = counted_;
  for (const StrapEpoch& e : epochs_) {
    link.batches += e.batch_count();
    link.lost += e.lost();
    link.device_dropped += e.last_status().dropped_samples;
    link.device_saturated += e.last_status().saturated_samples;
  }
  link.corrupt = decoder_.counts().lost() + malformed_;
  link.reconnects = links_opened_ > 0 ? links_opened_ - 1 : 0;
  link.restarts = epochs_.size() - 1;
  return link;
}

double StrapLedger::tick_hz() const { return identity_ ? identity_->tick_hz : 0.0; }

std::optional<ClockFit> StrapLedger::live_clock() const {
  return epoch().clock(tick_hz(), origin_ns_);
}

StrapResult StrapLedger::result() const {
  StrapResult result;
  result.link = statistics();
  result.identified = identity_.has_value();
  if (!identity_) return result;
  result.identity = *identity_;
  result.identity.rate = rate_;
  result.rate_hz = static_cast<double>(rate_.numerator) / static_cast<double>(rate_.denominator);
  const auto clock = base_of(epochs_).clock(tick_hz(), origin_ns_);
  if (clock) result.clock = *clock;
  for (const StrapEpoch& e : epochs_) {
    const auto first = e.first_tick();
    if (!first) continue;
    const auto own = e.clock(tick_hz(), origin_ns_);
    const bool moves = &e != &base_of(epochs_) && own && clock;
    e.append_to(result.ticks, result.counts, moves ? shift_onto(*clock, *own, *first) : 0);
  }
  return result;
}

}  // namespace strapline::acquisition
