#include "protocol_laws.hpp"

#include <algorithm>
#include <map>
#include <vector>

#include "strapline/firmware_protocol/device.hpp"
#include "strapline/firmware_protocol/frame.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"

namespace strapline::firmware_protocol::laws {
namespace {

using Bytes = std::vector<std::uint8_t>;

struct Decoded {
  std::vector<Bytes> frames;
  DecoderCounts counts;
  std::size_t pending = 0;
  std::string broken;
};

void feed(FrameDecoder& decoder, std::span<const std::uint8_t> chunk, Decoded& into) {
  while (const auto frame = decoder.next(chunk)) {
    into.frames.emplace_back(frame->bytes.begin(), frame->bytes.end());
    Bytes again(kMaxEncodedFrameBytes);
    const std::size_t size = encode_frame(frame->type, frame->payload, again);
    FrameDecoder other;
    std::span<const std::uint8_t> rest(again.data(), size);
    const auto back = other.next(rest);
    if (!back || !std::ranges::equal(back->bytes, frame->bytes)) {
      into.broken = "a good frame does not encode back to itself";
    }
  }
  if (decoder.pending_bytes() > kMaxEncodedFrameBytes) into.broken = "holds more than a frame";
}

}  // namespace

std::string decoder(std::span<const std::uint8_t> stream, std::span<const std::uint8_t> cuts) {
  Decoded whole, pieces;
  FrameDecoder one, other;
  feed(one, stream, whole);
  std::size_t at = 0;
  for (std::size_t i = 0; at < stream.size(); ++i) {
    const std::size_t wish = cuts.empty() ? 1 : cuts[i % cuts.size()] % 37;
    const std::size_t length = std::min(stream.size() - at, wish + (cuts.empty() ? 0 : i % 2));
    feed(other, stream.subspan(at, length), pieces);
    at += length;
  }
  if (!whole.broken.empty()) return whole.broken;
  if (!pieces.broken.empty()) return pieces.broken;
  if (whole.frames != pieces.frames) return "chunking changes the frames";
  if (one.counts() != other.counts()) return "chunking changes the counts";
  if (one.pending_bytes() != other.pending_bytes()) return "chunking changes what is pending";
  return "";
}

namespace {

/// A device under test, with the promises that are checked as it runs.
class Trial {
 public:
  Trial() : memory_(6), device_(traits(), memory_) {}

  std::string run(std::span<const std::uint8_t> script) {
    while (!script.empty() && broken_.empty()) step(script);
    if (broken_.empty()) finish();
    return broken_;
  }

 private:
  static DeviceTraits traits() {
    DeviceTraits what;
    what.identity.tick_hz = 1000;
    what.rates = {Rate{100, 1}, Rate{208, 1}};
    what.rate_count = 2;
    what.default_batch_samples = 3;
    return what;
  }

  std::uint8_t take(std::span<const std::uint8_t>& script) {
    if (script.empty()) return 0;
    const std::uint8_t byte = script.front();
    script = script.subspan(1);
    return byte;
  }

  template <class Message>
  void say(const Message& message) {
    Bytes out(kMaxEncodedFrameBytes);
    out.resize(encode_message(message, out));
    receive(out);
  }

  // Byte by byte, as no byte can end two frames: the count of dropped samples begins anew with
  // each stream, and none of it may be missed.
  void receive(std::span<const std::uint8_t> bytes) {
    for (const std::uint8_t& byte : bytes) {
      const bool could_start = device_.state() == DeviceState::configured;
      const auto dropped = device_.counts().dropped_samples;
      device_.receive({&byte, 1}, tick_);
      if (could_start && device_.state() == DeviceState::streaming) dropped_before_ += dropped;
    }
  }

  void step(std::span<const std::uint8_t>& script) {
    const std::uint8_t what = take(script);
    const std::uint8_t value = take(script);
    tick_ += value;
    switch (what % 12) {
      case 0:
        return say(Configure{value, {value % 2 == 0 ? 100U : value, 1}, value});
      case 1:
        return say(Start{value});
      case 2:
        return say(Stop{value});
      case 3:
        return say(ResendRequest{value, value, static_cast<std::uint32_t>(value) + what / 12});
      case 4:
        return say(ClockPing{value});
      case 5:
        return say(Identify{value});
      case 6:
        return raw(script, value);
      case 7:
        return listen(value);
      case 8:
        return listen(kMaxEncodedFrameBytes * (1 + value % 4U));
      case 9:
        return device_.link_opened();
      default:
        return samples(value % 24);
    }
  }

  void raw(std::span<const std::uint8_t>& script, std::size_t length) {
    const auto bytes = script.first(std::min(length, script.size()));
    script = script.subspan(bytes.size());
    receive(bytes);
  }

  void samples(int n) {
    for (int i = 0; i < n; ++i) {
      tick_ += 10;
      const auto dropped = device_.counts().dropped_samples;
      const bool room = device_.has_room(tick_);
      const bool streaming = device_.state() == DeviceState::streaming;
      device_.sample({static_cast<std::int16_t>(offered_ % 30000), 0, 0, 0, 0, 0}, tick_);
      if (!streaming) continue;
      const bool lost = device_.counts().dropped_samples != dropped;
      if (lost == room) broken_ = "has_room does not tell whether the sample is dropped";
      if (!lost) accepted_.push_back(static_cast<std::int16_t>(offered_ % 30000));
      ++offered_;
    }
  }

  void listen(std::size_t room) {
    Bytes out(room);
    const std::size_t bytes = device_.transmit(out, tick_);
    if (bytes > room) broken_ = "writes past the end";
    std::span<const std::uint8_t> rest(out.data(), bytes);
    while (const auto frame = host_.next(rest)) hear(*frame);
    if (host_.pending_bytes() != 0) broken_ = "half a frame";
    if (host_.counts().lost() != 0) broken_ = "a frame that does not decode";
  }

  void hear(const Frame& frame) {
    SampleBatch batch;
    if (frame.type != SampleBatch::kType) return;
    if (!decode_payload(frame.payload, batch)) {
      broken_ = "a batch that does not decode";
      return;
    }
    if ((batch.flags & kBatchResent) != 0) {
      batch.flags = 0;
      const auto first = sent_.find(batch.sequence);
      if (first == sent_.end() || first->second != batch) broken_ = "resent is not what was sent";
      return;
    }
    if (batch.sequence != sent_.size()) broken_ = "new batches out of order";
    sent_[batch.sequence] = batch;
    for (std::size_t i = 0; i < batch.count; ++i) heard_.push_back(batch.samples[i][0]);
  }

  void finish() {
    receive(Bytes{kDelimiter});  // the script may have left half a frame
    say(Stop{1});
    for (int i = 0; i < 200; ++i) listen(kMaxEncodedFrameBytes);
    const std::uint64_t dropped = dropped_before_ + device_.counts().dropped_samples;
    if (heard_ != accepted_) broken_ = "samples accepted and samples heard differ";
    if (accepted_.size() + dropped != offered_) broken_ = "a sample neither accepted nor counted";
  }

  std::vector<SampleBatch> memory_;
  Device device_;
  FrameDecoder host_;
  std::uint64_t tick_ = 0;
  std::uint64_t offered_ = 0;
  std::uint64_t dropped_before_ = 0;
  std::vector<std::int16_t> accepted_, heard_;
  std::map<std::uint32_t, SampleBatch> sent_;
  std::string broken_;
};

}  // namespace

std::string device(std::span<const std::uint8_t> script) { return Trial().run(script); }

}  // namespace strapline::firmware_protocol::laws
