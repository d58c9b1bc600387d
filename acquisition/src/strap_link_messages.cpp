// What the strap says, after the ledger has filed it.
#include <algorithm>

#include <fmt/core.h>

#include "strap_link.hpp"

namespace strapline::acquisition {
namespace fp = firmware_protocol;
namespace {

std::string reason_text(const fp::Refuse& refuse) {
  switch (refuse.reason) {
    case fp::RefuseReason::unsupported_rate:
      return "the strap has no sample rate near the one asked for";
    case fp::RefuseReason::unsupported_batch:
      return "the strap cannot put so many samples in one batch";
    default:
      return fmt::format("the strap refuses request {:#04x} with reason {}",
                         static_cast<unsigned>(refuse.refused),
                         static_cast<unsigned>(refuse.reason));
  }
}

}  // namespace

void StrapLink::on(const fp::Identity& identity) {
  if (ledger_.impostor()) {
    return give_up({"another strap answers at this address", request_.address.text(),
                    "attach the strap that the set began with"});
  }
  const bool streams = identity.state == fp::DeviceState::streaming;
  if (!streams) may_stream_ = false;
  stale_stream_ = streams && !ledger_.epoch().streaming();
  identified_ = true;
  answered(Ask::kIdentify);
  if (!std::exchange(link_is_new_, false)) return;
  if (connected_before_) {
    begin_burst();
    tell(SessionEvent::Kind::kReconnected, request_.address.text() + ": connected again");
  } else {
    tell(SessionEvent::Kind::kConnected, request_.address.text() + ": connected");
  }
  connected_before_ = true;
  away_ = false;
}

void StrapLink::on(const fp::Configured&) {
  configured_ = true;
  if (!ready_) begin_burst();
  answered(Ask::kConfigure);
}

void StrapLink::on(const fp::Acknowledge& acknowledge) {
  if (acknowledge.acknowledged == fp::MessageType::start && ledger_.epoch().begin()) {
    answered(Ask::kStart);
    if (!next_delivery_) missed_up_to_ = *(next_delivery_ = ledger_.epoch().begin());
  }
  if (acknowledge.acknowledged == fp::MessageType::stop) {
    if (stale_stream_) {
      stale_stream_ = false;
    } else {
      may_stream_ = false;
    }
    answered(Ask::kStop);
  }
  miss_up_to_known_end();
  deliver();
}

void StrapLink::on(const fp::Refuse& refuse) {
  if (refuse.refused == fp::MessageType::resend_request) return on_refused_resend(refuse);
  if (refuse.reason == fp::RefuseReason::not_configured) {
    configured_ = false;  // it restarted between configure and start
    return;
  }
  const Failure why{reason_text(refuse), request_.address.text(), ""};
  tell(SessionEvent::Kind::kRefused, why.line());
  // Asking for the same again would get the same answer.
  if (refuse.refused == fp::MessageType::configure) give_up(why);
}

void StrapLink::on_refused_resend(const fp::Refuse& refuse) {
  if (refuse.reason != fp::RefuseReason::batch_gone) return;  // asked again in due time
  const std::int64_t end = ledger_.epoch().known_end();
  const auto behind = static_cast<std::uint32_t>(end) - refuse.sequence;
  missing_.give_up_below(end - static_cast<std::int32_t>(behind));
  deliver();
}

void StrapLink::on(const fp::ClockPong&) { clock_ = ledger_.live_clock(); }

void StrapLink::on(const fp::Status& status) {
  status_ = status;
  // It should be streaming and is not: ask it. (While it is being stopped, that is expected.)
  const bool stopped = status.state != fp::DeviceState::streaming;
  if (stopped && ledger_.epoch().streaming() && asked_ != Ask::kStop) identified_ = false;
}

void StrapLink::on(const FiledBatch& filed) {
  if (filed.filing.fate == BatchFate::kDuplicate || filed.filing.fate == BatchFate::kForeign) {
    return;
  }
  samples_ += filed.batch->count;
  missing_.arrived(filed.filing.sequence);
  miss_up_to_known_end();
  deliver();
}

// What the strap held is gone with its memory: nothing of the life before can be asked for.
void StrapLink::notice_restart() {
  missing_.give_up_all();
  deliver();
  epoch_seen_ = ledger_.epoch_count();
  next_delivery_.reset();
  gap_ = true;
  clock_.reset();
  identified_ = false;
  configured_ = false;
  may_stream_ = false;
  begin_burst();
  tell(SessionEvent::Kind::kRestarted, request_.address.text() + ": the strap has restarted");
}

// Of a long absence only what the strap's memory can still hold is worth asking for.
void StrapLink::miss_up_to_known_end() {
  if (!next_delivery_) return;
  const StrapEpoch& epoch = ledger_.epoch();
  const std::int64_t end = epoch.known_end();
  const std::int64_t held = ledger_.identity() ? ledger_.identity()->ring_batches : 0;
  for (std::int64_t s = std::max(missed_up_to_, end - held); s < end; ++s) {
    if (epoch.find(s) == nullptr) missing_.add(s, s + 1, now());
  }
  missed_up_to_ = std::max(missed_up_to_, end);
}

void StrapLink::deliver() {
  if (!next_delivery_) return;
  const StrapEpoch& epoch = ledger_.epoch(epoch_seen_ - 1);
  while (next_delivery_ && *next_delivery_ < epoch.known_end()) {
    const fp::SampleBatch* batch = epoch.find(*next_delivery_);
    if (batch == nullptr && missing_.contains(*next_delivery_)) return;
    ++*next_delivery_;
    if (batch == nullptr) {
      gap_ = true;
    } else {
      emit(*batch);
    }
  }
}

void StrapLink::emit(const fp::SampleBatch& batch) {
  if (!clock_) clock_ = ledger_.live_clock();
  if (!clock_) return;
  std::array<LiveSample, fp::kMaxBatchSamples> samples;
  for (std::size_t i = 0; i < batch.count; ++i) {
    const auto tick = static_cast<std::int64_t>(batch.tick_of(i));
    // A better clock may step back by less than a sample: time still rises.
    constexpr double kLeastStep_s = 1e-6;
    double t_s = clock_->common_s(tick);
    if (first_s_) t_s = std::max(t_s, newest_s_ + kLeastStep_s);
    if (!first_s_) first_s_ = t_s;
    newest_s_ = t_s;
    samples[i] = {t_s, tick, batch.samples[i], gap_ && i == 0};
  }
  gap_ = false;
  owner_.samples(index_, std::span<const LiveSample>(samples.data(), batch.count));
}

}  // namespace strapline::acquisition
