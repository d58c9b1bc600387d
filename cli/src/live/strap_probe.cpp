#include "strap_probe.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "strapline/acquisition/event_loop.hpp"
#include "strapline/firmware_protocol/frame.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"

namespace strapline::cli {
namespace {

namespace acq = acquisition;
namespace fp = firmware_protocol;

/// One question: open, ask, wait for identity and status.
class Question {
 public:
  Question(acq::EventLoop& loop, ProbeResult& result, std::function<void()> answered)
      : loop_(loop), result_(result), answered_(std::move(answered)) {}

  void ask(std::int64_t timeout_ns) {
    loop_.async_open(result_.address, timeout_ns, [this](auto stream) {
      if (!stream) {
        result_.why_not = stream.error().line();
        return end();
      }
      stream_ = std::move(*stream);
      send();
      read();
    });
  }

  /// Frees the port.
  void end() {
    stream_.reset();
    if (!std::exchange(ended_, true)) answered_();
  }
  [[nodiscard]] bool ended() const { return ended_; }

 private:
  // Asked again and again: what was half-sent on the line before may swallow the first question.
  void send() {
    if (ended_) return;
    constexpr std::int64_t kAgain_ns = 200'000'000;
    std::array<std::uint8_t, fp::kMaxEncodedFrameBytes + 1> bytes{};  // begins with a delimiter
    const std::size_t size = fp::encode_message(fp::Identify{1}, std::span(bytes).subspan(1));
    stream_->async_write({bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(size) + 1},
                         nullptr);
    loop_.after(kAgain_ns, [this] { send(); });
  }

  void read() {
    stream_->async_read([this](auto bytes) {
      if (!bytes) {
        result_.why_not = bytes.error().line();
        return end();
      }
      take(*bytes);
      if (!ended_) read();
    });
  }

  void take(std::span<const std::uint8_t> bytes) {
    while (const auto frame = decoder_.next(bytes)) {
      fp::Identity identity;
      fp::Status status;
      if (frame->type == fp::MessageType::identity &&
          fp::decode_payload(frame->payload, identity)) {
        result_.identity = identity;
      } else if (frame->type == fp::MessageType::status && result_.identity &&
                 fp::decode_payload(frame->payload, status)) {
        if (status.battery_percent != fp::kUnknownBattery) {
          result_.battery_percent = status.battery_percent;
        }
        return end();
      }
    }
  }

  acq::EventLoop& loop_;
  ProbeResult& result_;
  std::function<void()> answered_;
  std::unique_ptr<acq::ByteStream> stream_;
  fp::FrameDecoder decoder_;
  bool ended_ = false;
};

}  // namespace

std::vector<ProbeResult> probe(const std::vector<acq::Address>& addresses, double timeout_s) {
  std::vector<ProbeResult> results;
  for (const acq::Address& address : addresses) {
    results.push_back({address, std::nullopt, std::nullopt, ""});
  }
  if (results.empty()) return results;
  const acq::SteadyClock clock;
  acq::EventLoop loop(clock);
  std::vector<std::unique_ptr<Question>> questions;
  const auto look = [&] {
    const bool all = std::all_of(questions.begin(), questions.end(),
                                 [](const auto& question) { return question->ended(); });
    if (all) loop.stop();
  };
  for (ProbeResult& result : results) {
    questions.push_back(std::make_unique<Question>(loop, result, look));
  }
  const auto timeout_ns = std::llround(1e9 * timeout_s);
  for (const auto& question : questions) question->ask(timeout_ns);
  loop.after(timeout_ns, [&] { loop.stop(); });
  loop.run();
  for (ProbeResult& result : results) {
    if (!result.identity && result.why_not.empty()) result.why_not = "no strap answers";
  }
  return results;
}

}  // namespace strapline::cli
