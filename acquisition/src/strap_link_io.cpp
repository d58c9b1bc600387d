// The link itself: opening, reading, writing, losing it and opening it again.
#include "strap_link.hpp"

namespace strapline::acquisition {

void StrapLink::open() {
  opening_ = true;
  opener_.async_open(request_.address, options_.connect_timeout_ns,
                     [this, alive = std::weak_ptr<bool>(alive_)](auto result) {
                       if (!alive.expired() && !finished_) opened(std::move(result));
                     });
}

void StrapLink::opened(Result<std::unique_ptr<ByteStream>> result) {
  opening_ = false;
  if (!result) {
    if (!ready_) return drop(result.error());
    open_again_ns_ = now() + options_.reconnect_interval_ns;
    return;
  }
  stream_ = std::move(*result);
  heard_ns_ = now();
  splitter_.reset();
  link_is_new_ = true;
  identified_ = false;
  configured_ = false;
  asked_ = Ask::kNothing;
  if (!noted(journal_.link(index_, now(), LinkEvent::kOpened, ""))) return;
  ledger_.link_event(LinkEvent::kOpened);
  read();
  advance();
}

void StrapLink::read() {
  stream_->async_read([this](Result<std::span<const std::uint8_t>> bytes) {
    if (!bytes) return drop(bytes.error());
    const ByteStream* const stream = stream_.get();
    received(*bytes);
    if (!finished_ && stream_.get() == stream) read();
  });
}

void StrapLink::received(std::span<const std::uint8_t> bytes) {
  const std::int64_t host_ns = now();
  heard_ns_ = host_ns;
  splitter_.feed(bytes, [this, host_ns](std::span<const std::uint8_t> piece) {
    if (finished_ || !stream_) return;
    if (!noted(journal_.append(JournalKind::kFrame, index_, host_ns, piece))) return;
    ledger_.take(host_ns, piece, [this, host_ns](const FiledMessage& message) {
      answered_ns_ = host_ns;
      if (ledger_.epoch_count() != epoch_seen_) notice_restart();
      std::visit([this](const auto& m) { on(m); }, message);
    });
  });
  advance();
}

void StrapLink::send_bytes(std::vector<std::uint8_t> bytes) {
  if (!stream_) return;
  stream_->async_write(std::move(bytes), [this](const Result<void>& written) {
    if (!written) drop(written.error());
  });
}

bool StrapLink::noted(const Result<void>& journal_result) {
  if (!journal_result) owner_.journal_failed(journal_result.error());
  return journal_result.has_value();
}

void StrapLink::tell(SessionEvent::Kind kind, std::string text) {
  owner_.event({kind, index_, std::move(text)});
}

// Before the strap was ever ready this ends the opening; later the strap is looked for again.
void StrapLink::drop(const Failure& why) {
  if (finished_) return;
  stream_.reset();
  if (!ready_) {
    finished_ = true;
    return owner_.strap_failed(why);
  }
  asked_ = Ask::kNothing;
  open_again_ns_ = now();
  if (!noted(journal_.link(index_, now(), LinkEvent::kDropped, why.line()))) return;
  if (!std::exchange(away_, true)) tell(SessionEvent::Kind::kDropped, why.line());
}

void StrapLink::give_up(const Failure& why) {
  if (finished_) return;
  if (!ready_) return drop(why);
  stream_.reset();
  if (!noted(journal_.link(index_, now(), LinkEvent::kGaveUp, why.line()))) return;
  tell(SessionEvent::Kind::kGaveUp, why.line());
  finish();
}

void StrapLink::reconnect(std::int64_t now_ns) {
  const bool at_end = goal_ == Goal::kDone && now_ns >= drain_until_ns_;
  if (ready_ && (at_end || now_ns - answered_ns_ >= options_.reconnect_for_ns)) {
    return give_up(
        {"the strap did not come back", request_.address.text(), "what it sent before is kept"});
  }
  if (!opening_ && now_ns >= open_again_ns_) open();
}

}  // namespace strapline::acquisition
