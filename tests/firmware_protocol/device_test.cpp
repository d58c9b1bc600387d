#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "host_end.hpp"

namespace strapline::firmware_protocol {
namespace {

using samples::Bench;
using samples::Heard;
using samples::sequences;
using ::testing::ElementsAre;

enum class Request { identify, configure, start, stop, ping, resend };

struct Step {
  DeviceState in;
  Request request;
  MessageType answer;
  RefuseReason reason;
  DeviceState then;
};

constexpr RefuseReason kNone{};

/// The table of PROTOCOL.md "States".
const std::vector<Step>& steps() {
  using enum MessageType;
  using S = DeviceState;
  static const std::vector<Step> all = {
      {S::idle, Request::identify, identity, kNone, S::idle},
      {S::idle, Request::configure, configured, kNone, S::configured},
      {S::idle, Request::start, refuse, RefuseReason::not_configured, S::idle},
      {S::idle, Request::stop, acknowledge, kNone, S::idle},
      {S::idle, Request::ping, clock_pong, kNone, S::idle},
      {S::idle, Request::resend, refuse, RefuseReason::batch_not_sent, S::idle},
      {S::configured, Request::identify, identity, kNone, S::configured},
      {S::configured, Request::configure, configured, kNone, S::configured},
      {S::configured, Request::start, acknowledge, kNone, S::streaming},
      {S::configured, Request::stop, acknowledge, kNone, S::configured},
      {S::configured, Request::ping, clock_pong, kNone, S::configured},
      {S::configured, Request::resend, refuse, RefuseReason::batch_not_sent, S::configured},
      {S::streaming, Request::identify, identity, kNone, S::streaming},
      {S::streaming, Request::configure, refuse, RefuseReason::streaming, S::streaming},
      {S::streaming, Request::start, acknowledge, kNone, S::streaming},
      {S::streaming, Request::stop, acknowledge, kNone, S::configured},
      {S::streaming, Request::ping, clock_pong, kNone, S::streaming},
      {S::streaming, Request::resend, refuse, RefuseReason::batch_not_sent, S::streaming},
  };
  return all;
}

void bring_to(Bench& bench, DeviceState state) {
  if (state != DeviceState::idle) bench.say(Configure{1, {100, 1}, 5});
  if (state == DeviceState::streaming) bench.say(Start{2});
  (void)bench.listen();
  ASSERT_EQ(bench.device.state(), state);
}

Heard make(Bench& bench, Request request) {
  switch (request) {
    case Request::identify:
      return bench.ask(Identify{77});
    case Request::configure:
      return bench.ask(Configure{77, {104, 1}, 5});
    case Request::start:
      return bench.ask(Start{77});
    case Request::stop:
      return bench.ask(Stop{77});
    case Request::ping:
      return bench.ask(ClockPing{77});
    default:
      return bench.ask(ResendRequest{77, 0, 0});
  }
}

MessageType answer_type(const Heard& heard) {
  if (!heard.identities.empty()) return MessageType::identity;
  if (!heard.configured.empty()) return MessageType::configured;
  if (!heard.acknowledged.empty()) return MessageType::acknowledge;
  if (!heard.refused.empty()) return MessageType::refuse;
  return MessageType::clock_pong;
}

std::uint64_t answered_request(const Heard& heard) {
  if (!heard.identities.empty()) return heard.identities[0].request;
  if (!heard.configured.empty()) return heard.configured[0].request;
  if (!heard.acknowledged.empty()) return heard.acknowledged[0].request;
  if (!heard.refused.empty()) return heard.refused[0].request;
  return heard.pongs.empty() ? 0 : heard.pongs[0].host_token;
}

TEST(Device, EveryRequestInEveryState) {
  for (const Step& step : steps()) {
    SCOPED_TRACE(std::to_string(static_cast<int>(step.in)) + " request " +
                 std::to_string(static_cast<int>(step.request)));
    Bench bench;
    bring_to(bench, step.in);
    const Heard heard = make(bench, step.request);
    EXPECT_EQ(heard.answers(), 1U);
    EXPECT_EQ(answer_type(heard), step.answer);
    EXPECT_EQ(answered_request(heard), 77U);
    if (step.answer == MessageType::refuse) {
      EXPECT_EQ(heard.refused[0].reason, step.reason);
    }
    EXPECT_EQ(bench.device.state(), step.then);
    // A repeated request (its answer was lost) leaves the state alone.
    const Heard again = make(bench, step.request);
    EXPECT_EQ(again.answers(), 1U);
    EXPECT_EQ(bench.device.state(), step.then);
  }
}

TEST(Device, IdentityTellsTraitsRingAndState) {
  Bench bench(8);
  bench.device.set_health(64, 3010);
  const Heard heard = bench.ask(Identify{5});
  ASSERT_EQ(heard.identities.size(), 1U);
  Identity expected = samples::traits().identity;
  expected.request = 5;
  expected.rate = {100, 1};
  expected.max_batch_samples = kMaxBatchSamples;
  expected.ring_batches = 8;
  expected.state = DeviceState::idle;
  EXPECT_EQ(heard.identities[0], expected);
  ASSERT_EQ(heard.statuses.size(), 1U);
  EXPECT_EQ(heard.statuses[0].battery_percent, 64);
  EXPECT_EQ(heard.statuses[0].temperature_centi, 3010);
}

TEST(Device, ConfigureTakesTheNearestTrueRate) {
  struct Case {
    Rate asked;
    Rate expected;  ///< numerator 0: refused
  };
  for (const Case& c : {Case{{0, 1}, {100, 1}}, Case{{100, 1}, {100, 1}}, Case{{103, 1}, {104, 1}},
                        Case{{200, 1}, {208, 1}}, Case{{416, 2}, {208, 1}}, Case{{150, 1}, {0, 1}},
                        Case{{4'000'000'000, 1}, {0, 1}}}) {
    Bench bench;
    const Heard heard = bench.ask(Configure{1, c.asked, 0});
    if (c.expected.numerator == 0) {
      ASSERT_EQ(heard.refused.size(), 1U);
      EXPECT_EQ(heard.refused[0].reason, RefuseReason::unsupported_rate);
      EXPECT_EQ(bench.device.state(), DeviceState::idle);
      continue;
    }
    ASSERT_EQ(heard.configured.size(), 1U);
    EXPECT_EQ(heard.configured[0].rate, c.expected);
    EXPECT_EQ(heard.configured[0].batch_samples, 5);  // the default of the traits
    EXPECT_EQ(heard.configured[0].settings_check,
              settings_check(samples::traits().identity, bench.device.rate()));
    EXPECT_EQ(bench.device.rate(), c.expected);
  }
}

TEST(Device, ConfigureRefusesTooLongBatches) {
  Bench bench;
  const Heard heard = bench.ask(Configure{1, {100, 1}, kMaxBatchSamples + 1});
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0].reason, RefuseReason::unsupported_batch);
}

TEST(Device, TooShortARequestIsRefusedAsMalformed) {
  Bench bench;
  samples::Bytes out(kMaxEncodedFrameBytes);
  out.resize(encode_frame(MessageType::configure, samples::Bytes{1, 0, 100}, out));
  bench.device.receive(out, 0);
  const Heard heard = bench.listen();
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0], (Refuse{0, MessageType::configure, RefuseReason::malformed, 0}));
  ASSERT_EQ(bench.ask(ResendRequest{9, 5, 4}).refused.size(), 1U);
}

TEST(Device, SkipsAndCountsWhatItDoesNotKnow) {
  Bench bench;
  samples::Bytes out(kMaxEncodedFrameBytes);
  out.resize(encode_frame(static_cast<MessageType>(0x55), samples::Bytes{1, 2}, out));
  bench.device.receive(out, 0);
  bench.say(samples::identity());  // a strap's own message coming back at it
  EXPECT_EQ(bench.listen().answers(), 0U);
  EXPECT_EQ(bench.device.counts().unknown_messages, 2U);
  bench.device.receive(samples::Bytes{3, 9, 9, 0}, 0);
  const Heard heard = bench.ask(Identify{1});
  ASSERT_EQ(heard.statuses.size(), 1U);
  EXPECT_EQ(heard.statuses[0].corrupt_frames, 1U);
}

TEST(Device, StreamsWhatItWasGiven) {
  Bench bench;
  bench.sample(7);  // before start: not taken
  bench.start_streaming(5);
  bench.sample(13);
  const Heard heard = bench.listen();
  ASSERT_EQ(sequences(heard), (std::vector<std::uint32_t>{0, 1}));
  const SampleBatch& second = heard.batches[1];
  EXPECT_EQ(second.first_tick, 130U);
  EXPECT_EQ(second.span_ticks, 40U);
  EXPECT_EQ(second.settings_check, settings_check(samples::traits().identity, {100, 1}));
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_EQ(second.samples[i], (SampleCounts{static_cast<std::int16_t>(12 + i), 1, 2, 3, 4, 5}));
    EXPECT_EQ(second.tick_of(i), 130 + 10 * i);
  }
  const Heard end = bench.ask(Stop{9});
  ASSERT_EQ(end.batches.size(), 1U);
  EXPECT_EQ(end.batches[0].count, 3);
  ASSERT_EQ(end.acknowledged.size(), 1U);
  EXPECT_EQ(end.acknowledged[0].sequence, 3U);  // one past the last
  EXPECT_EQ(end.statuses.size(), 1U);
}

TEST(Device, SequenceGoesOnFromStreamToStream) {
  Bench bench;
  bench.start_streaming();
  bench.sample(12);
  bench.say(Stop{3});
  (void)bench.listen();
  const Heard heard = bench.ask(Start{4});
  ASSERT_EQ(heard.acknowledged.size(), 1U);
  EXPECT_EQ(heard.acknowledged[0].sequence, 3U);
  bench.sample(5);
  // The answer to a repeated start still names the first batch.
  EXPECT_EQ(bench.ask(Start{5}).acknowledged[0].sequence, 3U);
}

TEST(Device, GapBeginsANewBatch) {
  Bench bench;
  bench.start_streaming(5);
  bench.sample(2);
  bench.tick += 30;
  bench.sample(5);
  bench.tick -= 60;  // a clock that jumps back must not end up in a batch's span either
  bench.sample(1);
  bench.say(Stop{1});
  const Heard heard = bench.listen();
  ASSERT_EQ(heard.batches.size(), 3U);
  EXPECT_EQ(heard.batches[0].count, 2);
  EXPECT_EQ(heard.batches[0].span_ticks, 10U);
  EXPECT_EQ(heard.batches[1].count, 5);
  EXPECT_EQ(heard.batches[1].first_tick, 60U);
  EXPECT_EQ(heard.batches[2].count, 1);
}

TEST(Device, RhythmMayWaverByHalfAPeriod) {
  struct Case {
    std::uint64_t step;  ///< ticks of 1 ms at 100 Hz
    std::size_t batches;
  };
  for (const Case& c : {Case{4, 2}, Case{5, 1}, Case{10, 1}, Case{15, 1}, Case{16, 2}}) {
    Bench bench;
    bench.start_streaming(5);
    bench.sample(1);
    bench.device.sample({}, bench.tick + c.step);
    EXPECT_EQ(bench.ask(Stop{1}).batches.size(), c.batches) << c.step;
  }
}

TEST(Device, CountsSaturatedSamples) {
  Bench bench;
  bench.start_streaming(5);
  for (const std::int16_t value :
       std::initializer_list<std::int16_t>{31999, 32000, -32000, INT16_MIN, -31999}) {
    bench.device.sample({0, 0, 0, 0, value, 0}, bench.tick += 10);
  }
  EXPECT_EQ(bench.ask(Stop{1}).statuses.at(0).saturated_samples, 3U);
}

TEST(Device, DropsNewSamplesWhileTheLinkIsBlockedAndCountsThem) {
  Bench bench(4);
  bench.start_streaming(5);
  bench.sample(20);
  EXPECT_FALSE(bench.device.has_room(bench.tick + 10));
  bench.sample(7);
  EXPECT_EQ(bench.device.counts().dropped_samples, 7U);
  const Heard heard = bench.listen();
  EXPECT_EQ(sequences(heard), (std::vector<std::uint32_t>{0, 1, 2, 3}));
  EXPECT_EQ(heard.batches[0].samples[0][0], 0);
  EXPECT_TRUE(bench.device.has_room(bench.tick + 10));
  bench.sample(5);
  const Heard after = bench.listen();
  ASSERT_EQ(sequences(after), (std::vector<std::uint32_t>{4}));
  EXPECT_EQ(after.batches[0].samples[0][0], 27);  // 20 to 26 were dropped
  EXPECT_EQ(bench.ask(Stop{1}).statuses.at(0).dropped_samples, 7U);
}

TEST(Device, AnswersBeyondItsSlotsAreCountedNotKept) {
  Bench bench;
  for (std::uint64_t i = 0; i < kReplySlots + 3; ++i) bench.say(ClockPing{i});
  EXPECT_EQ(bench.device.counts().dropped_replies, 3U);
  EXPECT_EQ(bench.listen().pongs.size(), kReplySlots);
  EXPECT_EQ(bench.ask(ClockPing{1}).pongs.size(), 1U);
}

TEST(Device, PongCarriesArrivalAndDeparture) {
  Bench bench;
  bench.tick = 100;
  bench.say(ClockPing{42});
  bench.tick = 117;
  EXPECT_THAT(bench.listen().pongs, ElementsAre(ClockPong{42, 100, 117}));
}

TEST(Device, PongOvertakesWaitingBatches) {
  Bench bench;
  bench.start_streaming(5);
  bench.sample(20);
  bench.say(ClockPing{42});
  samples::Bytes out(60);  // room for the pong, not for a batch behind it
  const std::size_t bytes = bench.device.transmit(out, bench.tick);
  EXPECT_EQ(bench.host.hear(std::span(out).first(bytes)).pongs.size(), 1U);
}

TEST(Device, StatusEverySecondOnceConfigured) {
  Bench bench;
  bench.tick = 5000;
  EXPECT_TRUE(bench.listen().statuses.empty());
  bench.start_streaming(5);
  std::size_t statuses = 0;
  for (int i = 0; i < 500; ++i) {  // five seconds
    bench.sample(1);
    statuses += bench.listen().statuses.size();
  }
  EXPECT_EQ(statuses, 5U);
}

TEST(Device, StreamSurvivesALostLink) {
  Bench bench(8);
  bench.start_streaming(5);
  bench.sample(12);
  bench.device.receive(samples::Bytes{9, 8, 7}, bench.tick);  // half a frame, then the link breaks
  bench.device.link_opened();
  samples::Bytes opening(1, 0xFF);  // a delimiter ends what the host heard of the old link
  ASSERT_EQ(bench.device.transmit(opening, bench.tick), 1U);
  EXPECT_EQ(opening[0], kDelimiter);
  const Heard heard = bench.ask(Identify{3});
  ASSERT_EQ(heard.identities.size(), 1U);
  EXPECT_EQ(heard.identities[0].state, DeviceState::streaming);
  EXPECT_EQ(sequences(heard), (std::vector<std::uint32_t>{0, 1}));
}

TEST(Device, TinyOutputsGetNothingRatherThanHalfAFrame) {
  Bench bench;
  bench.say(Identify{3});
  samples::Bytes out(20);
  EXPECT_EQ(bench.device.transmit(out, 0), 1U);  // the opening delimiter
  EXPECT_EQ(bench.device.transmit(out, 0), 0U);
  EXPECT_EQ(bench.listen().identities.size(), 1U);
}

TEST(Device, SlipsInTheTraitsDoNoHarm) {
  DeviceTraits traits = samples::traits();
  traits.rate_count = 99;
  traits.rates = {Rate{100, 0}};
  traits.default_batch_samples = 200;
  traits.identity.part_name.length = 99;
  Bench bench(4, traits);
  bench.say(Configure{1, {0, 1}, 0});
  bench.say(Start{2});
  EXPECT_EQ(bench.ask(Identify{3}).identities.size(), 1U);
  bench.sample(100);
  EXPECT_EQ(bench.listen().batches.size(), 4U);
  Bench none(0);
  none.start_streaming();
  none.sample(5);
  EXPECT_EQ(none.device.counts().dropped_samples, 5U);
}

}  // namespace
}  // namespace strapline::firmware_protocol
