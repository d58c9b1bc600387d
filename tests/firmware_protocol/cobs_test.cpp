#include "strapline/firmware_protocol/cobs.hpp"

#include <cstdint>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

namespace strapline::firmware_protocol {
namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes encoded(const Bytes& in) {
  Bytes out(cobs_max_encoded_bytes(in.size()));
  out.resize(cobs_encode(in, out));
  return out;
}

std::optional<Bytes> decoded(const Bytes& in) {
  Bytes out(in.size());
  const auto size = cobs_decode(in, out);
  if (!size) return std::nullopt;
  out.resize(*size);
  return out;
}

Bytes counting(unsigned from, unsigned to) {
  Bytes bytes;
  for (unsigned i = from; i <= to; ++i) bytes.push_back(static_cast<std::uint8_t>(i));
  return bytes;
}

Bytes prefixed(Bytes front, const Bytes& rest) {
  front.insert(front.end(), rest.begin(), rest.end());
  return front;
}

// Cheshire & Baker 1999, doi 10.1109/90.769765: the examples in circulation with the paper.
TEST(Cobs, PublishedExamples) {
  const std::vector<std::pair<Bytes, Bytes>> examples = {
      {{}, {0x01}},
      {{0x00}, {0x01, 0x01}},
      {{0x00, 0x00}, {0x01, 0x01, 0x01}},
      {{0x00, 0x11, 0x00}, {0x01, 0x02, 0x11, 0x01}},
      {{0x11, 0x22, 0x00, 0x33}, {0x03, 0x11, 0x22, 0x02, 0x33}},
      {{0x11, 0x22, 0x33, 0x44}, {0x05, 0x11, 0x22, 0x33, 0x44}},
      {{0x11, 0x00, 0x00, 0x00}, {0x02, 0x11, 0x01, 0x01, 0x01}},
      {counting(0x01, 0xFE), prefixed({0xFF}, counting(0x01, 0xFE))},
      {counting(0x00, 0xFE), prefixed({0x01, 0xFF}, counting(0x01, 0xFE))},
  };
  for (const auto& [plain, stuffed] : examples) {
    EXPECT_EQ(encoded(plain), stuffed);
    EXPECT_EQ(decoded(stuffed), plain);
  }
}

// Encoders differ here: ours writes no 01 after a full last block, the decoder takes both.
TEST(Cobs, TrailingOneAfterFullBlock) {
  const Bytes plain(254, 7);
  EXPECT_EQ(encoded(plain).size(), 255U);
  Bytes with_one = encoded(plain);
  with_one.push_back(0x01);
  EXPECT_EQ(decoded(with_one), plain);
}

TEST(Cobs, WorstCaseSizesAreExact) {
  static_assert(cobs_max_encoded_bytes(0) == 1);
  static_assert(cobs_max_encoded_bytes(1) == 2);
  static_assert(cobs_max_encoded_bytes(254) == 255);
  static_assert(cobs_max_encoded_bytes(255) == 257);
  static_assert(cobs_max_encoded_bytes(508) == 510);
  static_assert(cobs_max_encoded_bytes(509) == 512);
  for (const std::size_t n : {1U, 253U, 254U, 255U, 507U, 508U, 509U, 762U, 763U}) {
    const Bytes plain(n, 0xAB);
    EXPECT_EQ(encoded(plain).size(), cobs_max_encoded_bytes(n)) << n;
    Bytes short_by_one(cobs_max_encoded_bytes(n) - 1);
    EXPECT_EQ(cobs_encode(plain, short_by_one), 0U) << n;
  }
}

TEST(Cobs, RefusesWhatIsNoEncoding) {
  EXPECT_FALSE(decoded({}));
  EXPECT_FALSE(decoded({0x00}));
  EXPECT_FALSE(decoded({0x03, 0x11}));        // block runs past the end
  EXPECT_FALSE(decoded({0x03, 0x11, 0x00}));  // zero inside a block
  EXPECT_FALSE(decoded({0x02, 0x11, 0x00}));  // zero as a code
  Bytes small(1);
  EXPECT_FALSE(cobs_decode(Bytes{0x03, 0x11, 0x22}, small));
}

RC_GTEST_PROP(CobsProperty, RoundTripWithoutZeros, (const Bytes& head)) {
  // Long runs without zeros reach the block border, which short random input does not.
  const auto run = *rc::gen::inRange<std::size_t>(0, 600);
  Bytes plain = head;
  plain.insert(plain.end(), run, *rc::gen::arbitrary<std::uint8_t>());
  const Bytes stuffed = encoded(plain);
  RC_ASSERT(!stuffed.empty());
  RC_ASSERT(std::count(stuffed.begin(), stuffed.end(), 0) == 0);
  RC_ASSERT(decoded(stuffed) == plain);
  Bytes in_place = stuffed;
  const auto size = cobs_decode(in_place, in_place);
  RC_ASSERT(size.has_value());
  in_place.resize(*size);
  RC_ASSERT(in_place == plain);
}

// What decodes, encodes back to itself, save the 01 that the encoder leaves out.
RC_GTEST_PROP(CobsProperty, DecodingNeverInvents, (const Bytes& anything)) {
  const auto plain = decoded(anything);
  if (!plain) return;
  Bytes again = encoded(*plain);
  if (again.size() + 1 == anything.size()) again.push_back(0x01);
  RC_ASSERT(again == anything);
}

}  // namespace
}  // namespace strapline::firmware_protocol
