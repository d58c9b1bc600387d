#include "strapline/firmware_protocol/device.hpp"

#include <algorithm>

namespace strapline::firmware_protocol {
namespace {

constexpr double kRateTolerance = 0.10;  // a part's 104 Hz answers to a request for 100 Hz

double hertz(Rate rate) {
  return static_cast<double>(rate.numerator) / static_cast<double>(rate.denominator);
}

// Traits come from whoever builds the firmware: a slip there must not put anything on the wire that
// cannot be encoded, or more samples into a batch than it holds.
DeviceTraits within_bounds(DeviceTraits traits) {
  traits.rate_count = std::clamp<std::size_t>(traits.rate_count, 1, kMaxRates);
  for (Rate& rate : traits.rates) {
    if (rate.denominator == 0) rate.denominator = 1;
  }
  PartName& name = traits.identity.part_name;
  name.length = std::min(name.length, static_cast<std::uint8_t>(kMaxPartNameBytes));
  traits.default_batch_samples = std::clamp(traits.default_batch_samples, std::uint8_t{1},
                                            static_cast<std::uint8_t>(kMaxBatchSamples));
  return traits;
}

bool is_saturated(const SampleCounts& counts, std::uint16_t full_scale) {
  if (full_scale == 0) return false;
  for (const int count : counts) {
    if (count >= full_scale || count <= -int{full_scale}) return true;
  }
  return false;
}

}  // namespace

Device::Device(const DeviceTraits& traits, std::span<SampleBatch> ring)
    : traits_(within_bounds(traits)), identity_(traits_.identity), ring_(ring) {
  identity_.rate = traits_.rates[0];
  identity_.max_batch_samples = kMaxBatchSamples;
  identity_.ring_batches =
      static_cast<std::uint16_t>(std::min<std::size_t>(ring.size(), UINT16_MAX));
  batch_samples_ = traits_.default_batch_samples;
  settings_check_ = settings_check(identity_, identity_.rate);
}

void Device::link_opened() {
  decoder_.reset();
  reply_count_ = 0;
  resend_count_ = 0;
  delimiter_due_ = true;
}

void Device::set_health(std::uint8_t battery_percent, std::int16_t temperature_centi) {
  battery_percent_ = battery_percent;
  temperature_centi_ = temperature_centi;
}

void Device::sample(const SampleCounts& counts, std::uint64_t tick) {
  if (state_ != DeviceState::streaming) return;
  if (is_saturated(counts, identity_.full_scale_count)) ++counts_.saturated_samples;
  if (breaks_rhythm(tick)) close_batch();
  if (open_ == nullptr) {
    open_ = ring_.open();
    if (open_ == nullptr) {
      ++counts_.dropped_samples;
      return;
    }
    open_->first_tick = tick;
    open_->settings_check = settings_check_;
  }
  open_->samples[open_->count++] = counts;
  open_->span_ticks = static_cast<std::uint32_t>(tick - open_->first_tick);
  last_tick_ = tick;
  if (open_->count >= batch_samples_) close_batch();
}

bool Device::has_room(std::uint64_t tick) const {
  if (open_ == nullptr) return ring_.has_room(0);
  return !breaks_rhythm(tick) || ring_.has_room(1);
}

// A batch says only where it begins and how long it is, so its samples must be evenly spaced.
bool Device::breaks_rhythm(std::uint64_t tick) const {
  if (open_ == nullptr) return false;
  if (tick <= last_tick_ || tick - open_->first_tick > UINT32_MAX) return true;
  if (identity_.rate.numerator == 0) return false;
  const std::uint64_t period =
      std::uint64_t{identity_.tick_hz} * identity_.rate.denominator / identity_.rate.numerator;
  const std::uint64_t step = tick - last_tick_;
  return step > period + period / 2 || step < period / 2;
}

void Device::close_batch() {
  if (open_ == nullptr) return;
  ring_.close();
  open_ = nullptr;
}

void Device::receive(std::span<const std::uint8_t> bytes, std::uint64_t tick) {
  while (const auto frame = decoder_.next(bytes)) handle(*frame, tick);
}

void Device::handle(const Frame& frame, std::uint64_t tick) {
  switch (frame.type) {
    case MessageType::identify:
      return take<Identify>(frame, tick);
    case MessageType::configure:
      return take<Configure>(frame, tick);
    case MessageType::start:
      return take<Start>(frame, tick);
    case MessageType::stop:
      return take<Stop>(frame, tick);
    case MessageType::clock_ping:
      return take<ClockPing>(frame, tick);
    case MessageType::resend_request:
      return take<ResendRequest>(frame, tick);
    default:
      ++counts_.unknown_messages;
  }
}

template <class Message>
void Device::take(const Frame& frame, std::uint64_t tick) {
  Message message;
  if (decode_payload(frame.payload, message)) {
    on(message, tick);
  } else {
    refuse(Message::kType, 0, RefuseReason::malformed);
  }
}

void Device::on(const Identify& message, std::uint64_t) {
  reply({.type = MessageType::identity, .request = message.request});
  status_due_ = true;
}

void Device::on(const Configure& message, std::uint64_t) {
  constexpr auto kType = Configure::kType;
  if (state_ == DeviceState::streaming) {
    return refuse(kType, message.request, RefuseReason::streaming);
  }
  if (message.batch_samples > kMaxBatchSamples) {
    return refuse(kType, message.request, RefuseReason::unsupported_batch);
  }
  Rate chosen;
  if (!choose_rate(message.rate, chosen)) {
    return refuse(kType, message.request, RefuseReason::unsupported_rate);
  }
  identity_.rate = chosen;
  batch_samples_ =
      message.batch_samples == 0 ? traits_.default_batch_samples : message.batch_samples;
  settings_check_ = settings_check(identity_, chosen);
  state_ = DeviceState::configured;
  reply({.type = MessageType::configured, .request = message.request});
}

bool Device::choose_rate(Rate asked, Rate& chosen) const {
  if (asked.numerator == 0) {
    chosen = traits_.rates[0];
    return true;
  }
  double nearest = kRateTolerance;
  bool found = false;
  for (std::size_t i = 0; i < traits_.rate_count; ++i) {
    const double ratio = hertz(traits_.rates[i]) / hertz(asked);
    const double difference = ratio > 1.0 ? ratio - 1.0 : 1.0 - ratio;
    if (difference <= nearest) {
      nearest = difference;
      chosen = traits_.rates[i];
      found = true;
    }
  }
  return found;
}

void Device::on(const Start& message, std::uint64_t) {
  if (state_ == DeviceState::idle) {
    return refuse(Start::kType, message.request, RefuseReason::not_configured);
  }
  if (state_ == DeviceState::configured) {
    state_ = DeviceState::streaming;
    start_sequence_ = ring_.next_sequence();
    counts_.dropped_samples = 0;
    counts_.saturated_samples = 0;
  }
  reply({.type = MessageType::acknowledge,
         .to = Start::kType,
         .request = message.request,
         .sequence = start_sequence_});
}

void Device::on(const Stop& message, std::uint64_t) {
  close_batch();
  if (state_ == DeviceState::streaming) state_ = DeviceState::configured;
  reply({.type = MessageType::acknowledge,
         .to = Stop::kType,
         .request = message.request,
         .sequence = ring_.next_sequence()});
  status_due_ = true;
}

void Device::on(const ClockPing& message, std::uint64_t tick) {
  reply({.type = MessageType::clock_pong, .host_token = message.host_token, .received_tick = tick});
}

void Device::on(const ResendRequest& message, std::uint64_t) {
  constexpr auto kType = ResendRequest::kType;
  std::uint32_t first = message.first_sequence;
  std::uint32_t end = message.last_sequence;
  if (first > end) return refuse(kType, message.request, RefuseReason::malformed);
  const std::uint32_t unsent = ring_.unsent_sequence();
  const std::uint32_t oldest = ring_.oldest_sequence();
  if (end >= unsent) refuse(kType, message.request, RefuseReason::batch_not_sent, unsent);
  if (first < oldest) {
    if (oldest > 0) refuse(kType, message.request, RefuseReason::batch_gone, oldest);
    first = oldest;
  }
  if (first >= unsent || first > end) return;
  if (end >= unsent) end = unsent - 1;
  if (resend_count_ == kResendSlots) return refuse(kType, message.request, RefuseReason::busy);
  resends_[(resend_first_ + resend_count_++) % kResendSlots] = {message.request, first, end};
}

void Device::refuse(MessageType to, std::uint16_t request, RefuseReason reason,
                    std::uint32_t sequence) {
  reply({.type = MessageType::refuse,
         .to = to,
         .reason = reason,
         .request = request,
         .sequence = sequence});
}

void Device::reply(const Reply& reply) {
  if (reply_count_ == kReplySlots) {
    ++counts_.dropped_replies;
    return;
  }
  replies_[(reply_first_ + reply_count_++) % kReplySlots] = reply;
}

}  // namespace strapline::firmware_protocol
