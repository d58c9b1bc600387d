#include <gtest/gtest.h>

#include "strapline/firmware_protocol/crc32c.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"

#include "wire_samples.hpp"

namespace strapline::firmware_protocol {
namespace {

using samples::Bytes;
using samples::frame_of;

/// A frame made by hand: COBS over `raw` and its check, then the delimiter.
Bytes raw_frame(Bytes raw) {
  const std::uint32_t check = crc32c(raw);
  for (int i = 0; i < 4; ++i) raw.push_back(static_cast<std::uint8_t>(check >> (8 * i)));
  Bytes out(cobs_max_encoded_bytes(raw.size()));
  out.resize(cobs_encode(raw, out));
  out.push_back(0);
  return out;
}

std::size_t frames_in(FrameDecoder& decoder, const Bytes& bytes) {
  std::span<const std::uint8_t> rest = bytes;
  std::size_t frames = 0;
  while (decoder.next(rest)) ++frames;
  return frames;
}

TEST(Frame, EveryMessageComesBack) {
  FrameDecoder decoder;
  samples::for_each_message([&]<class Message>(const Message& message) {
    const Bytes bytes = frame_of(message);
    std::span<const std::uint8_t> rest = bytes;
    const auto frame = decoder.next(rest);
    ASSERT_TRUE(frame);
    EXPECT_TRUE(rest.empty());
    EXPECT_EQ(frame->type, Message::kType);
    Message back;
    ASSERT_TRUE(decode_payload(frame->payload, back));
    EXPECT_EQ(back, message);
  });
  EXPECT_EQ(decoder.counts().lost(), 0U);
}

// start, request 1: version 1, type 3, payload 01 00, check and COBS worked out by a separate
// script (bitwise CRC-32C in Python, itself checked against "123456789").
TEST(Frame, BytesOnTheWire) {
  EXPECT_EQ(frame_of(Start{1}),
            (Bytes{0x04, 0x01, 0x03, 0x01, 0x05, 0x7B, 0xB9, 0xAE, 0x6C, 0x00}));
}

TEST(Frame, WorstCaseSizes) {
  static_assert(kMaxEncodedFrameBytes == 516);
  // Frames of 254/255 and 508/509 bytes and the largest, with as few zeros as a payload can have.
  for (const std::size_t frame_bytes : {254U, 255U, 508U, 509U, 512U}) {
    const Bytes payload(frame_bytes - kHeaderBytes - kCheckBytes, 0xAA);
    Bytes out(kMaxEncodedFrameBytes);
    const std::size_t size = encode_frame(MessageType::sample_batch, payload, out);
    ASSERT_GT(size, frame_bytes);
    EXPECT_LE(size, cobs_max_encoded_bytes(frame_bytes) + 1);
    out.resize(size);
    FrameDecoder decoder;
    std::span<const std::uint8_t> rest = out;
    const auto frame = decoder.next(rest);
    ASSERT_TRUE(frame);
    EXPECT_TRUE(
        std::equal(payload.begin(), payload.end(), frame->payload.begin(), frame->payload.end()));
    Bytes small(size - 1);
    EXPECT_EQ(encode_frame(MessageType::sample_batch, payload, small), 0U);
  }
  Bytes out(kMaxEncodedFrameBytes);
  EXPECT_EQ(encode_frame(MessageType::status, Bytes(kMaxPayloadBytes + 1), out), 0U);
}

TEST(Frame, TruncatedAtEveryByteGivesNothingAndTheNextFrameLives) {
  const Bytes whole = frame_of(samples::batch());
  const Bytes next = frame_of(Start{2});
  for (std::size_t cut = 0; cut < whole.size(); ++cut) {
    FrameDecoder decoder;
    Bytes stream(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(cut));
    EXPECT_EQ(frames_in(decoder, stream), 0U) << cut;
    EXPECT_EQ(decoder.pending_bytes(), cut);
    EXPECT_EQ(frames_in(decoder, {0}), cut + 1 == whole.size() ? 1U : 0U) << cut;
    EXPECT_EQ(frames_in(decoder, next), 1U) << cut;
  }
}

TEST(Frame, EverySingleBitErrorIsFound) {
  const Bytes good = frame_of(samples::identity());
  for (std::size_t bit = 0; bit < good.size() * 8; ++bit) {
    Bytes bad = good;
    bad[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
    bad.push_back(0);
    FrameDecoder decoder;
    EXPECT_EQ(frames_in(decoder, bad), 0U) << bit;
    EXPECT_GE(decoder.counts().lost(), 1U) << bit;
  }
}

TEST(Frame, CountsWhatItThrowsAway) {
  FrameDecoder decoder;
  EXPECT_EQ(frames_in(decoder, {0, 0, 0}), 0U);  // padding, no loss
  EXPECT_EQ(decoder.counts(), DecoderCounts{});
  EXPECT_EQ(frames_in(decoder, {0x05, 0x01, 0x00}), 0U);  // no COBS
  EXPECT_EQ(frames_in(decoder, raw_frame({})), 0U);       // nothing but a check: too short
  EXPECT_EQ(frames_in(decoder, raw_frame({2, 3, 1, 0})), 0U);
  Bytes endless(5000, 0x55);
  EXPECT_EQ(frames_in(decoder, endless), 0U);
  EXPECT_LE(decoder.pending_bytes(), kMaxEncodedFrameBytes);
  EXPECT_EQ(frames_in(decoder, {0}), 0U);
  EXPECT_EQ(frames_in(decoder, frame_of(Start{2})), 1U);
  EXPECT_EQ(decoder.counts(),
            (DecoderCounts{.frames = 1, .corrupt = 2, .oversized = 1, .other_version = 1}));
}

// A frame one byte too long fits the buffer's slack but not the format.
TEST(Frame, OneByteTooLongIsRefused) {
  Bytes raw(kMaxFrameBytes - kCheckBytes + 1, 0x00);
  raw[0] = kProtocolVersion;
  FrameDecoder decoder;
  EXPECT_EQ(frames_in(decoder, raw_frame(raw)), 0U);
  EXPECT_EQ(decoder.counts().lost(), 1U);
}

TEST(Frame, UnknownTypesAreGivenOut) {
  FrameDecoder decoder;
  const Bytes bytes = raw_frame({kProtocolVersion, 0x7E, 1, 2, 3});
  std::span<const std::uint8_t> rest = bytes;
  const auto frame = decoder.next(rest);
  ASSERT_TRUE(frame);
  EXPECT_EQ(static_cast<int>(frame->type), 0x7E);
  EXPECT_EQ(frame->payload.size(), 3U);
  EXPECT_EQ(frame->bytes.size(), 9U);
}

TEST(Frame, ResetForgetsHalfAFrame) {
  FrameDecoder decoder;
  const Bytes frame = frame_of(Start{1});
  EXPECT_EQ(frames_in(decoder, {0x44, 0x45}), 0U);
  decoder.reset();
  EXPECT_EQ(frames_in(decoder, frame), 1U);
}

}  // namespace
}  // namespace strapline::firmware_protocol
