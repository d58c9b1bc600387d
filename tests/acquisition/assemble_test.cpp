// What becomes of a journal's frames, frame by frame.
#include <gtest/gtest.h>

#include "strapline/acquisition/session_result.hpp"
#include "strapline/firmware_protocol/frame.hpp"

namespace strapline::acquisition {
namespace {

namespace fp = firmware_protocol;

/// A journal in memory of one strap at 1 kHz ticks, 100 Hz.
class FrameByFrame : public ::testing::Test {
 protected:
  FrameByFrame() {
    identity.device_id = 5;
    identity.tick_hz = 1000;
    identity.rate = {100, 1};
    check = fp::settings_check(identity, identity.rate);
  }

  template <class Message>
  void say(const Message& message) {
    std::vector<std::uint8_t> bytes(fp::kMaxEncodedFrameBytes);
    bytes.resize(fp::encode_message(message, bytes));
    frames.push_back(std::move(bytes));
  }
  void acknowledge(fp::MessageType what, std::uint32_t sequence) {
    say(fp::Acknowledge{0, what, sequence});
  }
  /// Two readings whose first count is the sequence.
  [[nodiscard]] fp::SampleBatch batch(std::uint32_t sequence) const {
    fp::SampleBatch b;
    b.sequence = sequence;
    b.first_tick = 10'000 + 20 * std::uint64_t{sequence};
    b.span_ticks = 10;
    b.settings_check = check;
    b.count = 2;
    b.samples[0][0] = b.samples[1][0] = static_cast<std::int16_t>(sequence);
    return b;
  }
  [[nodiscard]] StrapResult result() const {
    Journal journal;
    for (const auto& frame : frames) {
      journal.records.push_back({JournalKind::kFrame, 0, ++time_ns, frame});
    }
    return assemble(journal).straps.at(0);
  }
  [[nodiscard]] static std::vector<int> sequences(const StrapResult& strap) {
    std::vector<int> all;
    for (std::size_t i = 0; i < strap.counts.size(); i += 2) all.push_back(strap.counts[i][0]);
    return all;
  }

  fp::Identity identity;
  std::uint16_t check = 0;
  std::vector<std::vector<std::uint8_t>> frames;
  mutable std::int64_t time_ns = 0;
};

TEST_F(FrameByFrame, PutsBatchesInOrderAndCountsWhatHappened) {
  say(identity);
  acknowledge(fp::MessageType::start, 3);
  for (const std::uint32_t sequence : {3U, 5U, 4U, 5U, 8U}) say(batch(sequence));
  fp::SampleBatch resent = batch(7);
  resent.flags = fp::kBatchResent;
  say(resent);
  acknowledge(fp::MessageType::stop, 11);
  const StrapResult strap = result();
  EXPECT_EQ(sequences(strap), (std::vector<int>{3, 4, 5, 7, 8}));
  EXPECT_EQ(strap.link.batches, 5U);
  EXPECT_EQ(strap.link.late, 1U);        // 4
  EXPECT_EQ(strap.link.duplicates, 1U);  // 5
  EXPECT_EQ(strap.link.resent, 1U);      // 7
  EXPECT_EQ(strap.link.lost, 3U);        // 6, and at the end 9 and 10
  EXPECT_EQ(strap.ticks.front(), 10'060);
  EXPECT_EQ(strap.ticks.back(), 10'170);
}

TEST_F(FrameByFrame, LeavesOutWhatIsOfAnEarlierStreamOrOfOtherSettings) {
  say(identity);
  say(batch(1));  // before the start is acknowledged: cannot be told yet
  acknowledge(fp::MessageType::start, 4);
  say(batch(2));
  say(batch(4));
  fp::SampleBatch other = batch(5);
  other.settings_check = static_cast<std::uint16_t>(check + 1U);
  say(other);
  say(batch(6));
  const StrapResult strap = result();
  EXPECT_EQ(sequences(strap), (std::vector<int>{4, 6}));
  EXPECT_EQ(strap.link.foreign, 3U);
  EXPECT_EQ(strap.link.lost, 1U);
}

// Under load the second of two pings reaches the strap before the first is answered.
TEST_F(FrameByFrame, PingsThatOverlapAreNoRestart) {
  const auto pong = [&](std::uint64_t received_tick, std::uint64_t sent_tick) {
    fp::ClockPong answer;
    answer.host_token = static_cast<std::uint64_t>(time_ns);
    answer.received_tick = received_tick;
    answer.sent_tick = sent_tick;
    say(answer);
  };
  say(identity);
  acknowledge(fp::MessageType::start, 3);
  say(batch(3));
  pong(20'000, 20'012);
  pong(20'011, 20'012);
  say(batch(4));
  EXPECT_EQ(result().link.restarts, 0U);
  pong(500, 501);  // the counter runs anew
  EXPECT_EQ(result().link.restarts, 1U);
}

TEST_F(FrameByFrame, FindsTheHeadThatWasLost) {
  say(identity);
  say(batch(6));
  acknowledge(fp::MessageType::start, 4);
  EXPECT_EQ(result().link.lost, 2U);
}

TEST_F(FrameByFrame, GoesOnWhereTheSequenceWraps) {
  say(identity);
  acknowledge(fp::MessageType::start, 0xFFFF'FFFEU);
  fp::SampleBatch b = batch(0);
  for (const std::uint32_t sequence : {0xFFFF'FFFEU, 0xFFFF'FFFFU, 0U, 1U}) {
    b.sequence = sequence;
    b.first_tick += 20;
    say(b);
  }
  acknowledge(fp::MessageType::stop, 2);
  const StrapResult strap = result();
  EXPECT_EQ(strap.link.batches, 4U);
  EXPECT_EQ(strap.link.lost, 0U);
  EXPECT_EQ(strap.counts.size(), 8U);
}

TEST_F(FrameByFrame, UsesTheConfiguredRateAndCountsCorruptFrames) {
  say(identity);
  fp::Configured configured;
  configured.rate = {200, 1};
  configured.settings_check = fp::settings_check(identity, configured.rate);
  say(configured);
  acknowledge(fp::MessageType::start, 0);
  fp::SampleBatch b = batch(0);
  b.settings_check = configured.settings_check;
  say(b);
  frames.push_back({3, 7, 7, 0});
  const StrapResult strap = result();
  EXPECT_DOUBLE_EQ(strap.rate_hz, 200.0);
  EXPECT_EQ(strap.link.batches, 1U);
  EXPECT_EQ(strap.link.corrupt, 1U);
}

TEST_F(FrameByFrame, AStrapThatNeverSaidWhoItIsGivesNothing) {
  say(batch(0));
  const StrapResult strap = result();
  EXPECT_FALSE(strap.identified);
  EXPECT_TRUE(strap.counts.empty());
  EXPECT_EQ(strap.link.foreign, 1U);
}

}  // namespace
}  // namespace strapline::acquisition
