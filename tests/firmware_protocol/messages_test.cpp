#include <gtest/gtest.h>

#include "strapline/firmware_protocol/crc16.hpp"

#include "wire_samples.hpp"

namespace strapline::firmware_protocol {
namespace {

using samples::Bytes;
using samples::payload_of;

TEST(Messages, RoundTrip) {
  samples::for_each_message([](const auto& message) {
    const Bytes payload = payload_of(message);
    ASSERT_FALSE(payload.empty());
    std::remove_cvref_t<decltype(message)> back;
    ASSERT_TRUE(decode_payload(payload, back));
    EXPECT_EQ(back, message);
  });
}

TEST(Messages, FixedPartIsAsLongAsStated) {
  samples::for_each_message([]<class Message>(const Message& message) {
    std::size_t variable = 0;
    if constexpr (std::is_same_v<Message, Identity>) variable = message.part_name.length;
    if constexpr (std::is_same_v<Message, SampleBatch>) variable = message.count * 12U;
    EXPECT_EQ(payload_of(message).size(), Message::kBytes + variable);
  });
}

TEST(Messages, TruncatedAtEveryByteIsRefused) {
  samples::for_each_message([]<class Message>(const Message& message) {
    const Bytes payload = payload_of(message);
    for (std::size_t cut = 0; cut < payload.size(); ++cut) {
      Message back;
      EXPECT_FALSE(decode_payload(std::span(payload).first(cut), back)) << cut;
      Bytes small(cut);
      EXPECT_EQ(encode_payload(message, small), 0U) << cut;
    }
  });
}

// The extension rule: fields of later versions stand behind ours.
TEST(Messages, TrailingBytesAreIgnored) {
  samples::for_each_message([]<class Message>(const Message& message) {
    Bytes payload = payload_of(message);
    payload.insert(payload.end(), {0xDE, 0xAD, 0x00, 0xFF});
    Message back;
    ASSERT_TRUE(decode_payload(payload, back));
    EXPECT_EQ(back, message);
  });
}

// Written out by hand from PROTOCOL.md, so that encoder and decoder cannot agree on a mistake.
TEST(Messages, BytesOnTheWire) {
  EXPECT_EQ(payload_of(Configure{0x0102, {104, 1}, 10}),
            (Bytes{0x02, 0x01, 104, 0, 0, 0, 1, 0, 0, 0, 10}));
  EXPECT_EQ(payload_of(Refuse{0x0304, MessageType::start, RefuseReason::batch_gone, 0x01020304}),
            (Bytes{0x04, 0x03, 0x03, 6, 4, 3, 2, 1}));
  EXPECT_EQ(payload_of(ClockPing{0x0102030405060708}), (Bytes{8, 7, 6, 5, 4, 3, 2, 1}));
  EXPECT_EQ(payload_of(samples::status()), (Bytes{77, 0, 0, 0, 0, 0, 0, 0, 2, 81, 0x2E, 0xFB, 5, 0,
                                                  0,  0, 6, 0, 0, 0, 7, 0, 0, 0,  0xEF, 0xBE}));
  SampleBatch batch{.sequence = 1, .first_tick = 2, .count = 1};
  batch.samples[0] = {1, -1, 0x1234, INT16_MIN, INT16_MAX, 0};
  EXPECT_EQ(payload_of(batch),
            (Bytes{1, 0, 0, 0, 2,    0,    0,    0,    0,    0,    0,    0,    0,    0,    0, 0,
                   0, 0, 0, 1, 0x01, 0x00, 0xFF, 0xFF, 0x34, 0x12, 0x00, 0x80, 0xFF, 0x7F, 0, 0}));
}

TEST(Messages, ImpossibleValuesAreRefused) {
  Bytes configure = payload_of(Configure{1, {100, 1}, 10});
  configure[6] = 0;  // the rate's denominator
  Configure back;
  EXPECT_FALSE(decode_payload(configure, back));
  EXPECT_TRUE(payload_of(Configure{1, {100, 0}, 10}).empty());

  Bytes batch = payload_of(samples::batch(20));
  batch.resize(kMaxPayloadBytes);
  SampleBatch read;
  batch[SampleBatch::kBytes - 1] = 0;
  EXPECT_FALSE(decode_payload(batch, read));
  batch[SampleBatch::kBytes - 1] = kMaxBatchSamples + 1;
  EXPECT_FALSE(decode_payload(batch, read));
  SampleBatch too_many = samples::batch();
  too_many.count = kMaxBatchSamples + 1;
  EXPECT_TRUE(payload_of(too_many).empty());
}

TEST(Messages, LongerPartNameOfALaterVersionIsCut) {
  Bytes payload = payload_of(samples::identity());
  payload.resize(Identity::kBytes);
  payload.back() = 40;
  payload.insert(payload.end(), 40, 'x');
  Identity back;
  ASSERT_TRUE(decode_payload(payload, back));
  EXPECT_EQ(back.part_name, samples::part_name(std::string(kMaxPartNameBytes, 'x')));
}

TEST(Messages, TicksOfSamplesSpanTheBatch) {
  const SampleBatch batch{.first_tick = 100, .span_ticks = 10, .count = 4};
  EXPECT_EQ(batch.tick_of(0), 100U);
  EXPECT_EQ(batch.tick_of(1), 103U);
  EXPECT_EQ(batch.tick_of(2), 106U);
  EXPECT_EQ(batch.tick_of(3), 110U);
  EXPECT_EQ((SampleBatch{.first_tick = 5, .count = 1}).tick_of(0), 5U);
}

// Bytes laid out by hand after PROTOCOL.md "Settings check".
TEST(Messages, SettingsCheckCoversTheScales) {
  Identity identity = samples::identity();
  identity.device_id = 0x0807060504030201;
  identity.firmware_version = 1;
  identity.tick_hz = 2;
  identity.acc_scale_pico = 5;
  identity.gyr_scale_pico = 6;
  identity.full_scale_count = 7;
  const Bytes bytes = {1, 2, 3, 4, 5, 6, 7, 8, 1, 0, 0, 0, 2, 0, 0, 0, 3, 0, 0, 0, 4,
                       0, 0, 0, 5, 0, 0, 0, 0, 0, 0, 0, 6, 0, 0, 0, 0, 0, 0, 0, 7, 0};
  EXPECT_EQ(settings_check(identity, {3, 4}), crc16(bytes));
  const auto before = settings_check(identity, {3, 4});
  identity.gyr_scale_pico = 8;
  EXPECT_NE(settings_check(identity, {3, 4}), before);
}

}  // namespace
}  // namespace strapline::firmware_protocol
