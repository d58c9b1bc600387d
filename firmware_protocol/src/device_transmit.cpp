#include "strapline/firmware_protocol/device.hpp"
#include "strapline/firmware_protocol/frame.hpp"

namespace strapline::firmware_protocol {

std::size_t Device::transmit(std::span<std::uint8_t> out, std::uint64_t tick) {
  std::size_t used = 0;
  if (delimiter_due_ && !out.empty()) {
    out[used++] = kDelimiter;
    delimiter_due_ = false;
  }
  if (state_ != DeviceState::idle && tick - status_tick_ >= identity_.tick_hz) status_due_ = true;
  while (true) {
    const std::size_t bytes = send_next(out.subspan(used), tick);
    if (bytes == 0) return used;
    used += bytes;
  }
}

std::size_t Device::send_next(std::span<std::uint8_t> out, std::uint64_t tick) {
  if (reply_count_ > 0) return send_reply(out, tick);
  if (status_due_) return send_status(out, tick);
  // In turn, so that a host that keeps asking for old batches cannot make the strap drop new ones.
  const bool has_new = ring_.next_unsent() != nullptr;
  if (resend_count_ > 0 && !(has_new && new_batch_next_)) return send_resent(out);
  return has_new ? send_new(out) : 0;
}

std::size_t Device::send_reply(std::span<std::uint8_t> out, std::uint64_t tick) {
  const std::size_t bytes = encode_reply(replies_[reply_first_], out, tick);
  if (bytes > 0) {
    reply_first_ = (reply_first_ + 1) % kReplySlots;
    --reply_count_;
  }
  return bytes;
}

std::size_t Device::encode_reply(const Reply& reply, std::span<std::uint8_t> out,
                                 std::uint64_t tick) const {
  switch (reply.type) {
    case MessageType::identity: {
      Identity message = identity_;
      message.request = reply.request;
      message.state = state_;
      return encode_message(message, out);
    }
    case MessageType::configured:
      return encode_message(
          Configured{reply.request, identity_.rate, batch_samples_, settings_check_}, out);
    case MessageType::acknowledge:
      return encode_message(Acknowledge{reply.request, reply.to, reply.sequence}, out);
    case MessageType::clock_pong:
      return encode_message(ClockPong{reply.host_token, reply.received_tick, tick}, out);
    default:
      return encode_message(Refuse{reply.request, reply.to, reply.reason, reply.sequence}, out);
  }
}

std::size_t Device::send_status(std::span<std::uint8_t> out, std::uint64_t tick) {
  const std::uint64_t corrupt = decoder_.counts().lost();
  const Status status{
      .tick = tick,
      .state = state_,
      .battery_percent = battery_percent_,
      .temperature_centi = temperature_centi_,
      .dropped_samples = counts_.dropped_samples,
      .saturated_samples = counts_.saturated_samples,
      .corrupt_frames = static_cast<std::uint32_t>(corrupt < UINT32_MAX ? corrupt : UINT32_MAX),
      .settings_check = settings_check_};
  const std::size_t bytes = encode_message(status, out);
  if (bytes > 0) {
    status_due_ = false;
    status_tick_ = tick;
  }
  return bytes;
}

std::size_t Device::send_resent(std::span<std::uint8_t> out) {
  Resend& resend = resends_[resend_first_];
  const SampleBatch* batch = ring_.sent(resend.next);
  std::size_t bytes = 0;
  std::uint32_t next = resend.next + 1;
  if (batch != nullptr) {
    SampleBatch again = *batch;
    again.flags |= kBatchResent;
    bytes = encode_message(again, out);
  } else {  // overwritten while the request waited
    next = ring_.oldest_sequence();
    bytes = encode_message(
        Refuse{resend.request, ResendRequest::kType, RefuseReason::batch_gone, next}, out);
  }
  if (bytes == 0) return 0;
  new_batch_next_ = true;
  resend.next = next;
  if (next > resend.last) {
    resend_first_ = (resend_first_ + 1) % kResendSlots;
    --resend_count_;
  }
  return bytes;
}

std::size_t Device::send_new(std::span<std::uint8_t> out) {
  const std::size_t bytes = encode_message(*ring_.next_unsent(), out);
  if (bytes > 0) {
    ring_.mark_sent();
    new_batch_next_ = false;
  }
  return bytes;
}

}  // namespace strapline::firmware_protocol
