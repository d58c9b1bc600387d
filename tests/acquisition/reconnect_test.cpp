// Links that break and straps that restart in the middle of a set.
#include <algorithm>
#include <cmath>

#include "session_fixture.hpp"

namespace strapline::acquisition::testing {
namespace {

using Kind = SessionEvent::Kind;

// The readings of `result` are some of the strap's, each once, in order; returns how many of the
// strap's are not there.
std::size_t expect_part_of_readings(const StrapResult& result, const FakeStrap& strap) {
  std::size_t next = 0;
  for (const auto& counts : result.counts) {
    while (next < strap.readings().size() && strap.readings()[next].counts != counts) ++next;
    EXPECT_LT(next, strap.readings().size()) << "a reading that the strap never took";
    ++next;
  }
  EXPECT_TRUE(std::is_sorted(result.ticks.begin(), result.ticks.end(), std::less_equal<>()));
  return strap.readings().size() - result.counts.size();
}

TEST_F(SessionTest, GoesOnInTheSameRecordingAfterADrop) {
  FakeStrap& strap = add_strap(1);
  add_strap(2);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(10.0);
  strap.unplug();
  loop.run_for(4.0);
  EXPECT_FALSE(session->live()[0].connected);
  EXPECT_TRUE(session->live()[1].streaming);
  strap.plug_in();
  loop.run_for(10.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  // The strap's memory bridged the gap.
  expect_all_readings(result->straps[0], strap);
  expect_all_readings(result->straps[1], *straps[1]);
  EXPECT_EQ(result->straps[0].link.reconnects, 1U);
  EXPECT_EQ(result->straps[0].link.restarts, 0U);
  EXPECT_EQ(result->straps[0].link.lost, 0U);
  EXPECT_EQ(result->straps[0].link.corrupt, 0U);  // half a frame at the break is none
  EXPECT_EQ(notes.count(Kind::kDropped), 1U);
  EXPECT_EQ(notes.count(Kind::kReconnected), 1U);
  EXPECT_EQ(notes.events.at(2).text, "memory: the link was closed by the other side");
}

TEST_F(SessionTest, CountsTheGapThatTheStrapsMemoryCannotBridge) {
  FakeStrap& strap = add_strap(1, {}, 30.0, 16);  // 160 readings, 1.5 s
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(10.0);
  strap.unplug();
  loop.run_for(8.0);
  strap.plug_in();
  loop.run_for(10.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  const StrapResult& got = result->straps[0];
  const std::size_t gone = expect_part_of_readings(got, strap);
  EXPECT_GT(gone, 500U);
  EXPECT_EQ(gone, got.link.device_dropped + 10 * got.link.lost);
}

TEST_F(SessionTest, KeepsBothLivesOfAStrapThatRestarts) {
  FakeStrap& strap = add_strap(1, {}, 60.0);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(20.0);
  strap.set_faults({.drop = 0.5});  // some batches are still missing when it happens
  loop.run_for(0.3);
  strap.set_faults({});
  loop.run_for(0.1);
  strap.unplug();
  strap.restart();
  loop.run_for(1.0);
  strap.plug_in();
  loop.run_for(30.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  const StrapResult& got = result->straps[0];
  EXPECT_EQ(got.link.restarts, 1U);
  EXPECT_EQ(notes.count(Kind::kRestarted), 1U);
  EXPECT_GT(got.counts.size(), 104U * 48U);
  EXPECT_LT(expect_part_of_readings(got, strap), 25U);  // what waited in the memory that was lost
  // Both lives lie on one common time.
  const double origin_s = static_cast<double>(result->origin_host_ns) * 1e-9;
  std::size_t reading = 0;
  double worst = 0.0;
  for (std::size_t i = 0; i < got.counts.size(); ++i) {
    while (strap.readings()[reading].counts != got.counts[i]) ++reading;
    worst = std::max(worst, std::abs(got.clock.common_s(got.ticks[i]) -
                                     (strap.readings()[reading].true_s - origin_s)));
  }
  EXPECT_LT(worst, 0.004);
  EXPECT_EQ(notes.live[0].size(), got.counts.size());
}

TEST_F(SessionTest, NoticesARestartBehindALinkThatStaysOpen) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(10.0);
  strap.restart();
  loop.run_for(10.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  const StrapResult& got = result->straps[0];
  EXPECT_EQ(got.link.restarts, 1U);
  EXPECT_EQ(got.link.reconnects, 0U);
  EXPECT_LT(expect_part_of_readings(got, strap), 25U);
  EXPECT_GT(got.counts.size(), 104U * 17U);
  EXPECT_NEAR(got.clock.skew_ppm, 30.0, 60.0);
}

TEST_F(SessionTest, StartsAStrapAgainThatRestartedBeforeTheStart) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  strap.restart();
  session->start();
  loop.run_for(5.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  EXPECT_GT(result->straps[0].counts.size(), 450U);
  expect_part_of_readings(result->straps[0], strap);
}

TEST_F(SessionTest, StartsAStrapAgainThatWasStoppedBehindItsBack) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.stop_by_itself();
  loop.run_for(10.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  EXPECT_GT(result->straps[0].counts.size(), 104U * 13U);
  expect_part_of_readings(result->straps[0], strap);
  EXPECT_EQ(notes.count(Kind::kRestarted), 1U);
}

TEST_F(SessionTest, ASilentLinkCountsAsDroppedAndIsOpenedAgain) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.mute(true);
  loop.run_for(10.0);
  EXPECT_EQ(notes.events.back().text,
            "/dev/fake0: nothing was heard from the strap for too long; check its battery and the "
            "distance");
  EXPECT_EQ(notes.count(Kind::kDropped), 1U);
  strap.mute(false);
  loop.run_for(5.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  expect_all_readings(result->straps[0], strap);
  EXPECT_GE(result->straps[0].link.reconnects, 1U);
}

TEST_F(SessionTest, ALinkThatOpensAndStaysSilentIsGivenUpInTheEnd) {
  FakeStrap& strap = add_strap(1);
  make_session({.reconnect_for_ns = 20'000'000'000});
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.mute(true);
  loop.run_for(30.0);
  EXPECT_EQ(notes.count(Kind::kGaveUp), 1U);
  ASSERT_TRUE(stop());
}

TEST_F(SessionTest, GivesAStrapUpThatStaysAwayAndKeepsTheRest) {
  FakeStrap& strap = add_strap(1);
  add_strap(2);
  make_session({.reconnect_for_ns = 5'000'000'000});
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(10.0);
  strap.unplug();
  loop.run_for(10.0);
  EXPECT_EQ(notes.count(Kind::kGaveUp), 1U);
  EXPECT_EQ(notes.events.back().text,
            "/dev/fake0: the strap did not come back; what it sent before is kept");
  const auto result = stop();
  ASSERT_TRUE(result);
  EXPECT_GT(result->straps[0].counts.size(), 1000U);
  expect_part_of_readings(result->straps[0], strap);
  expect_all_readings(result->straps[1], *straps[1]);
}

TEST_F(SessionTest, DoesNotMixAnotherStrapIntoTheRecording) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.unplug();
  FakeStrap other(loop, 99, {});
  links.add("/dev/fake0", other);
  loop.run_for(5.0);
  EXPECT_EQ(notes.events.back().text,
            "/dev/fake0: another strap answers at this address; attach the strap that the set "
            "began with");
  const auto result = stop();
  ASSERT_TRUE(result);
  EXPECT_EQ(result->straps[0].identity.device_id, 1U);
  expect_part_of_readings(result->straps[0], strap);
}

TEST_F(SessionTest, StopsWhileAStrapIsAway) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.unplug();
  loop.run_for(0.5);
  const auto result = stop();
  ASSERT_TRUE(result);
  expect_part_of_readings(result->straps[0], strap);
  EXPECT_GT(result->straps[0].counts.size(), 450U);
}

TEST_F(SessionTest, AStrapThatComesBackDuringTheStopStillHandsOverWhatItHolds) {
  FakeStrap& strap = add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.unplug();
  loop.run_for(0.5);
  loop.after(1'000'000'000, [&] { strap.plug_in(); });
  const auto result = stop();
  ASSERT_TRUE(result);
  expect_all_readings(result->straps[0], strap);
}

// A law, whatever happens: no reading is made up, doubled or out of order, and what is not there
// is counted.
TEST_F(SessionTest, AccountsForEveryReadingThroughRandomTrouble) {
  std::mt19937 random(7);
  const LinkFaults bad{.drop = 0.05, .corrupt = 0.03, .duplicate = 0.05, .delay = 0.05};
  for (std::uint64_t id = 1; id <= 4; ++id) add_strap(id, bad, 40.0, 32);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  for (int round = 0; round < 30; ++round) {
    FakeStrap& strap = *straps[random() % straps.size()];
    strap.unplug();
    loop.run_for(std::uniform_real_distribution<double>(0.0, 5.0)(random));
    strap.plug_in();
    loop.run_for(std::uniform_real_distribution<double>(0.0, 3.0)(random));
  }
  loop.run_for(5.0);
  const auto result = stop();
  ASSERT_TRUE(result) << result.error().line();
  std::uint64_t reconnects = 0;
  for (std::size_t i = 0; i < straps.size(); ++i) {
    const StrapResult& got = result->straps[i];
    EXPECT_EQ(expect_part_of_readings(got, *straps[i]),
              got.link.device_dropped + 10 * got.link.lost);
    EXPECT_EQ(got.link.restarts, 0U);
    EXPECT_EQ(notes.live[i].size(), got.counts.size());
    reconnects += got.link.reconnects;
  }
  EXPECT_GT(reconnects, 15U);
}

}  // namespace
}  // namespace strapline::acquisition::testing
