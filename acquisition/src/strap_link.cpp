#include "strap_link.hpp"

namespace strapline::acquisition {
namespace fp = firmware_protocol;
namespace {

/// Requests for missing batches per round: a strap keeps only a few waiting (PROTOCOL.md, busy).
constexpr std::size_t kResendRanges = 4;

}  // namespace

StrapLink::StrapLink(Scheduler& scheduler, LinkOpener& opener, JournalWriter& journal,
                     const SessionOptions& options, StrapLinkOwner& owner, std::uint16_t index,
                     StrapRequest request)
    : scheduler_(scheduler),
      opener_(opener),
      journal_(journal),
      options_(options),
      owner_(owner),
      index_(index),
      request_(std::move(request)),
      ledger_(journal.origin_host_ns()),
      missing_({options.resend_delay_ns, options.resend_interval_ns, options.resend_attempts,
                kResendRanges}) {}

void StrapLink::aim_for(Goal goal) {
  if (finished_) return;
  goal_ = goal;
  if (goal == Goal::kDone) {
    if (!ready_) return finish();
    drain_until_ns_ = now() + options_.drain_ns;
  }
  advance();
}

void StrapLink::tick() {
  if (finished_) return;
  const std::int64_t now_ns = now();
  // The stop is never acknowledged, or the last pongs do not come: what is there is there.
  const std::int64_t patience = 2 * options_.request_timeout_ns;
  if (goal_ == Goal::kDone && now_ns >= drain_until_ns_ + patience) return finish();
  if (!stream_) return reconnect(now_ns);
  if (now_ns - heard_ns_ >= options_.silence_ns) {
    return drop({"nothing was heard from the strap for too long", request_.address.text(),
                 "check its battery and the distance"});
  }
  repeat_ask(now_ns);
  if (!stream_) return;
  send_pings(now_ns);
  send_resends(now_ns);
  advance();
}

void StrapLink::advance() {
  if (finished_ || !stream_) return;
  const Ask next = next_ask();
  if (next != asked_) ask(next);
  if (next == Ask::kNothing) settle();
}

StrapLink::Ask StrapLink::next_ask() const {
  if (!identified_) return Ask::kIdentify;
  if (stale_stream_) return Ask::kStop;
  if (goal_ == Goal::kDone) return may_stream_ ? Ask::kStop : Ask::kNothing;
  if (ledger_.epoch().streaming()) return Ask::kNothing;
  if (!configured_) return Ask::kConfigure;
  return goal_ == Goal::kStream ? Ask::kStart : Ask::kNothing;
}

void StrapLink::ask(Ask what) {
  asked_ = what;
  attempts_ = 0;
  if (what != Ask::kNothing) send_ask();
}

void StrapLink::send_ask() {
  ++attempts_;
  ++request_number_;
  ask_again_ns_ = now() + options_.request_timeout_ns;
  switch (asked_) {
    case Ask::kNothing:
      return;
    case Ask::kIdentify:
      return send(fp::Identify{request_number_});
    case Ask::kConfigure:
      return send(fp::Configure{request_number_, options_.rate, options_.batch_samples});
    case Ask::kStart:
      may_stream_ = true;
      return send(fp::Start{request_number_});
    case Ask::kStop:
      return send(fp::Stop{request_number_});
  }
}

void StrapLink::answered(Ask what) {
  if (asked_ == what) asked_ = Ask::kNothing;
}

void StrapLink::repeat_ask(std::int64_t now_ns) {
  if (asked_ == Ask::kNothing || now_ns < ask_again_ns_) return;
  if (attempts_ < options_.request_attempts) return send_ask();
  drop({"no strap answers", request_.address.text(),
        "check that it is a strap, switched on and charged"});
}

// Nothing is left to ask for: see whether this is where the session wants the strap.
void StrapLink::settle() {
  if (!ready_) {
    if (!configured_ || !burst_over()) return;
    ready_ = true;
    return owner_.strap_ready();
  }
  if (goal_ != Goal::kDone) return;
  if (!missing_.empty() && now() < drain_until_ns_) return;
  if (!final_burst_) {
    final_burst_ = true;
    return begin_burst();
  }
  if (burst_over()) finish();
}

void StrapLink::finish() {
  if (finished_) return;
  missing_.give_up_all();
  deliver();
  close();
  owner_.strap_finished();
}

void StrapLink::close() {
  finished_ = true;
  stream_.reset();
}

void StrapLink::begin_burst() {
  burst_left_ = options_.burst_pings;
  burst_ends_ns_ = now() + options_.request_timeout_ns;
}

// One ping per tick in a burst; the burst is over when the last one had time to come back.
void StrapLink::send_pings(std::int64_t now_ns) {
  if (!identified_ || (burst_left_ == 0 && now_ns < next_ping_ns_)) return;
  if (burst_left_ > 0) {
    --burst_left_;
    burst_ends_ns_ = now_ns + options_.request_timeout_ns / 4;
  }
  next_ping_ns_ = now_ns + options_.ping_interval_ns;
  send(fp::ClockPing{static_cast<std::uint64_t>(now())});
}

void StrapLink::send_resends(std::int64_t now_ns) {
  if (!identified_ || missing_.empty()) return;
  for (const SequenceRange& range : missing_.due(now_ns)) {
    ++request_number_;
    send(fp::ResendRequest{request_number_, static_cast<std::uint32_t>(range.first),
                           static_cast<std::uint32_t>(range.last)});
  }
  deliver();  // past what was given up just now
}

StrapLive StrapLink::live() const {
  StrapLive live;
  live.label = request_.label;
  live.address = request_.address.text();
  live.connected = stream_ && identified_;
  live.streaming = live.connected && ledger_.epoch().streaming();
  live.given_up = finished_;
  live.identity = ledger_.identity();
  if (status_ && status_->battery_percent != fp::kUnknownBattery) {
    live.battery_percent = status_->battery_percent;
  }
  if (status_ && status_->temperature_centi != fp::kUnknownTemperature) {
    live.temperature_c = status_->temperature_centi / 100.0;
  }
  live.samples = samples_;
  live.seconds = first_s_ ? newest_s_ - *first_s_ : 0.0;
  live.link = ledger_.statistics();
  live.missing = live.link.lost;
  live.clock = clock_;
  return live;
}

}  // namespace strapline::acquisition
