#pragma once

#include <algorithm>
#include <cstdint>
#include <string_view>
#include <vector>

#include "strapline/firmware_protocol/frame.hpp"
#include "strapline/firmware_protocol/messages.hpp"

/// Messages with every field set to something telling, and their frames.
namespace strapline::firmware_protocol::samples {

using Bytes = std::vector<std::uint8_t>;

inline PartName part_name(std::string_view text) {
  PartName name;
  name.length = static_cast<std::uint8_t>(text.copy(name.text.data(), name.text.size()));
  return name;
}

inline Identity identity() {
  return {.request = 0x0102,
          .device_id = 0x1122334455667788,
          .firmware_version = 0x00010203,
          .tick_hz = 32768,
          .rate = {2000, 7},
          .acc_scale_pico = 4'785'645'000,
          .gyr_scale_pico = 1'221'730'476,
          .full_scale_count = 32767,
          .max_batch_samples = 20,
          .ring_batches = 64,
          .state = DeviceState::configured,
          .part_name = part_name("six-axis part")};
}

inline SampleBatch batch(std::uint8_t count = 3) {
  SampleBatch batch{.sequence = 9,
                    .first_tick = 1'000'000'000'000,
                    .span_ticks = 630,
                    .settings_check = 0xBEEF,
                    .flags = kBatchResent,
                    .count = count,
                    .samples = {}};
  std::int16_t value = -300;
  for (std::size_t i = 0; i < count; ++i) {
    for (std::int16_t& axis : batch.samples[i])
      axis = value = static_cast<std::int16_t>(value + 77);
  }
  return batch;
}

inline Status status() {
  return {.tick = 77,
          .state = DeviceState::streaming,
          .battery_percent = 81,
          .temperature_centi = -1234,
          .dropped_samples = 5,
          .saturated_samples = 6,
          .corrupt_frames = 7,
          .settings_check = 0xBEEF};
}

template <class Visitor>
void for_each_message(Visitor&& visit) {
  visit(Identify{1});
  visit(Configure{2, {104, 1}, 10});
  visit(Start{3});
  visit(Stop{4});
  visit(ClockPing{0xA1A2A3A4A5A6A7A8});
  visit(ResendRequest{5, 100, 120});
  visit(identity());
  visit(Configured{6, {417, 4}, 12, 0xCAFE});
  visit(Acknowledge{7, MessageType::stop, 44});
  visit(Refuse{8, MessageType::start, RefuseReason::not_configured, 3});
  visit(ClockPong{1, 0xFFFFFFFFFFFFFFFF, 3});
  visit(status());
  visit(batch());
}

template <class Message>
Bytes payload_of(const Message& message) {
  Bytes out(kMaxPayloadBytes);
  out.resize(encode_payload(message, out));
  return out;
}

template <class Message>
Bytes frame_of(const Message& message) {
  Bytes out(kMaxEncodedFrameBytes);
  out.resize(encode_message(message, out));
  return out;
}

}  // namespace strapline::firmware_protocol::samples
