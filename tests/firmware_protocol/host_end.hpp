#pragma once

#include <cstdint>
#include <vector>

#include "strapline/firmware_protocol/device.hpp"

#include "wire_samples.hpp"

/// The other end of a device in tests: says things to it and reads what it answers.
namespace strapline::firmware_protocol::samples {

struct Heard {
  std::vector<Identity> identities;
  std::vector<Configured> configured;
  std::vector<Acknowledge> acknowledged;
  std::vector<Refuse> refused;
  std::vector<ClockPong> pongs;
  std::vector<Status> statuses;
  std::vector<SampleBatch> batches;
  std::size_t others = 0;
  DecoderCounts counts;

  [[nodiscard]] std::size_t answers() const {
    return identities.size() + configured.size() + acknowledged.size() + refused.size() +
           pongs.size();
  }
};

/// The sequence numbers of the batches, in the order in which they arrived.
inline std::vector<std::uint32_t> sequences(const Heard& heard) {
  std::vector<std::uint32_t> result;
  for (const SampleBatch& batch : heard.batches) result.push_back(batch.sequence);
  return result;
}

class HostEnd {
 public:
  /// Everything that stands in `bytes`.
  Heard hear(std::span<const std::uint8_t> bytes) {
    Heard heard;
    while (const auto frame = decoder_.next(bytes)) {
      const bool known = keep(*frame, heard.identities) || keep(*frame, heard.configured) ||
                         keep(*frame, heard.acknowledged) || keep(*frame, heard.refused) ||
                         keep(*frame, heard.pongs) || keep(*frame, heard.statuses) ||
                         keep(*frame, heard.batches);
      if (!known) ++heard.others;
    }
    heard.counts = decoder_.counts();
    return heard;
  }

 private:
  template <class Message>
  static bool keep(const Frame& frame, std::vector<Message>& into) {
    Message message;
    if (frame.type != Message::kType || !decode_payload(frame.payload, message)) return false;
    into.push_back(message);
    return true;
  }

  FrameDecoder decoder_;
};

inline DeviceTraits traits() {
  DeviceTraits traits;
  traits.identity = identity();
  traits.identity.tick_hz = 1000;
  traits.identity.full_scale_count = 32000;
  traits.rates = {Rate{100, 1}, Rate{208, 1}, Rate{104, 1}};
  traits.rate_count = 3;
  traits.default_batch_samples = 5;
  return traits;
}

/// A device, its memory and the host end of its link, all on one tick counter of 1 kHz.
struct Bench {
  explicit Bench(std::size_t ring_batches = 8, const DeviceTraits& what = traits())
      : memory(ring_batches), device(what, memory) {}

  std::vector<SampleBatch> memory;
  Device device;
  HostEnd host;
  std::uint64_t tick = 0;

  template <class Message>
  void say(const Message& message) {
    device.receive(frame_of(message), tick);
  }

  /// What the device has to say, taken in pieces of at most `room` bytes until it falls silent.
  Heard listen(std::size_t room = kMaxEncodedFrameBytes) {
    Bytes all, out(room);
    while (const std::size_t bytes = device.transmit(out, tick)) {
      all.insert(all.end(), out.begin(), out.begin() + static_cast<std::ptrdiff_t>(bytes));
    }
    return host.hear(all);
  }

  template <class Message>
  Heard ask(const Message& message) {
    say(message);
    return listen();
  }

  void start_streaming(std::uint8_t batch_samples = 5) {
    say(Configure{1, {100, 1}, batch_samples});
    say(Start{2});
    (void)listen();
  }

  /// `n` readings at 100 Hz; reading i of the test has ax = i.
  void sample(int n) {
    for (int i = 0; i < n; ++i) {
      tick += 10;
      device.sample({static_cast<std::int16_t>(taken++), 1, 2, 3, 4, 5}, tick);
    }
  }
  int taken = 0;
};

}  // namespace strapline::firmware_protocol::samples
