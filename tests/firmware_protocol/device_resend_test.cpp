#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "host_end.hpp"

namespace strapline::firmware_protocol {
namespace {

using samples::Bench;
using samples::Heard;
using samples::sequences;
using ::testing::ElementsAre;

TEST(Device, ResendsWhatItHolds) {
  Bench bench(8);
  bench.start_streaming(5);
  bench.sample(30);
  const Heard first = bench.listen();
  const Heard again = bench.ask(ResendRequest{9, 2, 4});
  ASSERT_EQ(sequences(again), (std::vector<std::uint32_t>{2, 3, 4}));
  for (const SampleBatch& batch : again.batches) {
    SampleBatch expected = first.batches[batch.sequence];
    expected.flags |= kBatchResent;
    EXPECT_EQ(batch, expected);
  }
  EXPECT_TRUE(again.refused.empty());
}

TEST(Device, ResentBatchWaitsForRoom) {
  Bench bench(8);
  bench.start_streaming(5);
  bench.sample(10);
  (void)bench.listen();
  bench.say(ResendRequest{9, 0, 1});
  EXPECT_TRUE(bench.listen(40).batches.empty());
  EXPECT_EQ(sequences(bench.listen()), (std::vector<std::uint32_t>{0, 1}));
}

TEST(Device, RefusesBatchesThatAreGone) {
  Bench bench(4);
  bench.start_streaming(5);
  for (int i = 0; i < 6; ++i) {
    bench.sample(5);
    (void)bench.listen();
  }
  const Heard heard = bench.ask(ResendRequest{9, 0, 3});  // held: 2, 3, 4, 5
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0],
            (Refuse{9, MessageType::resend_request, RefuseReason::batch_gone, 2}));
  EXPECT_EQ(sequences(heard), (std::vector<std::uint32_t>{2, 3}));
  EXPECT_TRUE(bench.ask(ResendRequest{9, 0, 1}).batches.empty());
}

TEST(Device, RefusesBatchesOfTheFuture) {
  Bench bench(4);
  bench.start_streaming(5);
  bench.sample(10);
  (void)bench.listen();
  const Heard heard = bench.ask(ResendRequest{9, 1, UINT32_MAX});
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0],
            (Refuse{9, MessageType::resend_request, RefuseReason::batch_not_sent, 2}));
  EXPECT_EQ(sequences(heard), (std::vector<std::uint32_t>{1}));
}

TEST(Device, SaysSoWhenABatchIsOverwrittenWhileTheRequestWaits) {
  Bench bench(4);
  bench.start_streaming(5);
  bench.sample(20);
  (void)bench.listen();
  bench.say(ResendRequest{9, 0, 3});
  bench.sample(10);  // overwrites 0 and 1 before the link takes the answer
  const Heard heard = bench.listen();
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0].reason, RefuseReason::batch_gone);
  EXPECT_EQ(heard.refused[0].sequence, 2U);
  EXPECT_THAT(sequences(heard), ::testing::UnorderedElementsAre(2, 3, 4, 5));
}

TEST(Device, OldBatchesDoNotStarveNewOnes) {
  Bench bench(8);
  bench.start_streaming(5);
  bench.sample(20);
  (void)bench.listen();
  bench.sample(20);
  bench.say(ResendRequest{9, 0, 3});
  EXPECT_EQ(sequences(bench.listen()), (std::vector<std::uint32_t>{0, 4, 1, 5, 2, 6, 3, 7}));
}

TEST(Device, RefusesWhenTooManyResendRequestsWait) {
  Bench bench(8);
  bench.start_streaming(5);
  bench.sample(20);
  (void)bench.listen();
  for (std::uint16_t i = 0; i <= kResendSlots; ++i) bench.say(ResendRequest{i, 0, 0});
  const Heard heard = bench.listen();
  ASSERT_EQ(heard.refused.size(), 1U);
  EXPECT_EQ(heard.refused[0].reason, RefuseReason::busy);
  EXPECT_EQ(heard.batches.size(), kResendSlots);
}

}  // namespace
}  // namespace strapline::firmware_protocol
