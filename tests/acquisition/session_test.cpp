// Sessions over in-memory links to straps that run the real device-side state machine.
#include <cmath>

#include "session_fixture.hpp"

namespace strapline::acquisition::testing {
namespace {

TEST_F(SessionTest, RecordsEveryReadingOfEveryStrap) {
  for (std::uint64_t id : {11U, 22U, 33U, 44U}) add_strap(id, {}, static_cast<double>(id) - 20.0);
  const auto result = record(20.0);
  ASSERT_TRUE(result) << result.error().line();
  ASSERT_EQ(result->straps.size(), 4U);
  for (std::size_t i = 0; i < 4; ++i) {
    const StrapResult& strap = result->straps[i];
    EXPECT_GT(strap.counts.size(), 2000U);
    expect_all_readings(strap, *straps[i]);
    EXPECT_EQ(strap.identity.device_id, (i + 1) * 11);
    EXPECT_EQ(strap.label, "strap " + std::to_string(i));
    EXPECT_EQ(strap.address, "/dev/fake" + std::to_string(i));
    EXPECT_DOUBLE_EQ(strap.rate_hz, 104.0);
    EXPECT_EQ(strap.link.lost, 0U);
    EXPECT_EQ(strap.link.resent, 0U);
    EXPECT_EQ(strap.link.corrupt, 0U);
    EXPECT_EQ(strap.link.duplicates, 0U);
    EXPECT_EQ(strap.link.reconnects, 0U);
  }
  EXPECT_EQ(result->metadata, "client=winch operator");
  EXPECT_TRUE(result->ended);
}

TEST_F(SessionTest, CommonTimeAgreesWithTheHostClockWithinItsUncertainty) {
  add_strap(1, {}, 80.0);
  add_strap(2, {}, -120.0);
  const auto result = record(60.0);
  ASSERT_TRUE(result);
  for (std::size_t i = 0; i < 2; ++i) {
    const StrapResult& strap = result->straps[i];
    const double origin_s = static_cast<double>(result->origin_host_ns) * 1e-9;
    double worst = 0.0;
    for (std::size_t k = 0; k < strap.ticks.size(); ++k) {
      const double truth = straps[i]->readings()[k].true_s - origin_s;
      worst = std::max(worst, std::abs(strap.clock.common_s(strap.ticks[k]) - truth));
    }
    EXPECT_LT(worst, 2.0 * strap.clock.offset_u_s);
    EXPECT_LT(strap.clock.offset_u_s, 0.002);  // least round trip 4 ms / √12 is 1.2 ms
    EXPECT_NEAR(strap.clock.skew_ppm, i == 0 ? 80.0 : -120.0, 5.0);
  }
}

TEST_F(SessionTest, BringsInTwoPercentDroppedBatches) {
  for (std::uint64_t id : {1U, 2U, 3U, 4U}) add_strap(id, {.drop = 0.02});
  const auto result = record(60.0);
  ASSERT_TRUE(result);
  std::uint64_t resent = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    expect_all_readings(result->straps[i], *straps[i]);
    EXPECT_EQ(result->straps[i].link.lost, 0U);
    resent += result->straps[i].link.resent;
  }
  EXPECT_GT(resent, 20U);  // 4 × 620 batches, one in fifty
}

TEST_F(SessionTest, SurvivesCorruptionDuplicatesAndDisorderTogether) {
  for (std::uint64_t id : {5U, 6U, 7U}) {
    add_strap(id, {.drop = 0.05, .corrupt = 0.05, .duplicate = 0.05, .delay = 0.05});
  }
  const auto result = record(60.0);
  ASSERT_TRUE(result) << result.error().line();
  for (std::size_t i = 0; i < 3; ++i) {
    const LinkStatistics& link = result->straps[i].link;
    expect_all_readings(result->straps[i], *straps[i]);
    EXPECT_EQ(link.lost, 0U);
    EXPECT_GT(link.corrupt, 5U);
    EXPECT_GT(link.duplicates, 5U);
    EXPECT_GT(link.resent, 20U);
    EXPECT_GT(link.late + link.resent, 25U);
    EXPECT_EQ(link.restarts, 0U);
  }
}

TEST_F(SessionTest, WaitsAtTheStopForWhatIsMissing) {
  for (std::uint64_t id = 1; id <= 8; ++id) add_strap(id);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(3.0);
  for (auto& strap : straps) strap->set_faults({.drop = 0.35});
  loop.run_for(1.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  std::uint64_t lost = 0;
  std::size_t missing = 0;
  for (std::size_t i = 0; i < 8; ++i) {
    lost += result->straps[i].link.lost;
    missing += straps[i]->readings().size() - result->straps[i].counts.size();
  }
  EXPECT_EQ(lost, 0U);
  EXPECT_EQ(missing, 0U);
}

TEST_F(SessionTest, CountsWhatCannotBeBroughtIn) {
  FakeStrap& strap = add_strap(9, {}, 0.0, 4);  // holds four batches only
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  strap.set_faults({.drop = 1.0});
  loop.run_for(3.0);
  strap.set_faults({});
  loop.run_for(5.0);
  const auto result = stop();
  ASSERT_TRUE(result);
  const StrapResult& got = result->straps[0];
  EXPECT_GT(got.link.lost, 20U);
  EXPECT_EQ(got.counts.size() + got.link.lost * 10, strap.readings().size());
  EXPECT_EQ(notes.live[0].size(), got.counts.size());
  std::size_t gaps = 0;
  for (const LiveSample& sample : notes.live[0]) gaps += sample.after_gap ? 1U : 0U;
  EXPECT_EQ(gaps, 1U);
}

TEST_F(SessionTest, LiveReadingsComeInOrderAndAreTheRecordedOnes) {
  add_strap(3, {.drop = 0.1, .duplicate = 0.1, .delay = 0.1});
  const auto result = record(30.0);
  ASSERT_TRUE(result);
  const StrapResult& strap = result->straps[0];
  ASSERT_EQ(notes.live[0].size(), strap.counts.size());
  for (std::size_t i = 0; i < strap.counts.size(); ++i) {
    ASSERT_EQ(notes.live[0][i].counts, strap.counts[i]);
    ASSERT_EQ(notes.live[0][i].tick, strap.ticks[i]);
    ASSERT_FALSE(notes.live[0][i].after_gap);
    if (i > 0) {
      ASSERT_GT(notes.live[0][i].t_s, notes.live[0][i - 1].t_s);
    }
    ASSERT_NEAR(notes.live[0][i].t_s, strap.clock.common_s(strap.ticks[i]), 0.004);
  }
}

/// Looks into the journal file whenever readings come.
class JournalWatcher : public SessionObserver {
 public:
  explicit JournalWatcher(std::string path) : path_(std::move(path)) {}
  void on_samples(std::uint16_t, std::span<const LiveSample> samples) override {
    seen += samples.size();
    const auto written = assemble_from_journal(path_);
    ASSERT_TRUE(written);
    ASSERT_GE(written->straps.at(0).counts.size(), seen);
    ASSERT_EQ(written->straps[0].counts[seen - 1], samples.back().counts);
  }
  std::size_t seen = 0;

 private:
  std::string path_;
};

TEST_F(SessionTest, AFrameIsInTheJournalBeforeAnybodySeesIt) {
  add_strap(3);
  make_session();
  JournalWatcher watcher(path.text());
  session = std::make_unique<Session>(loop, links, *journal, requests, SessionOptions{}, watcher);
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(2.0);
  EXPECT_GT(watcher.seen, 150U);
}

TEST(SessionOptions, FasterClocksGetMorePatience) {
  const SessionOptions options = SessionOptions{}.at_speed(20.0);
  EXPECT_EQ(options.silence_ns, 20 * SessionOptions{}.silence_ns);
  EXPECT_EQ(options.resend_interval_ns, 8 * SessionOptions{}.resend_interval_ns);
  EXPECT_EQ(options.ping_interval_ns, SessionOptions{}.ping_interval_ns);
  EXPECT_EQ(SessionOptions{}.at_speed(0.5).silence_ns, SessionOptions{}.silence_ns);
}

TEST_F(SessionTest, ShowsBatteryLossesSamplesAndSecondsLive) {
  add_strap(3);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(10.0);
  const StrapLive live = session->live().at(0);
  EXPECT_TRUE(live.connected);
  EXPECT_TRUE(live.streaming);
  EXPECT_EQ(live.battery_percent, 83);
  EXPECT_DOUBLE_EQ(live.temperature_c.value(), 31.2);
  EXPECT_NEAR(live.seconds, 10.0, 0.3);
  EXPECT_NEAR(static_cast<double>(live.samples), 1040.0, 30.0);
  EXPECT_EQ(live.missing, 0U);
  ASSERT_TRUE(live.clock);
  ASSERT_TRUE(stop());
}

TEST_F(SessionTest, MarksKeepTheirPlaceOnTheCommonTime) {
  add_strap(3);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  const double before = static_cast<double>(loop.time_ns() - journal->origin_host_ns()) * 1e-9;
  loop.run_for(2.0);
  ASSERT_TRUE(session->mark("set begins"));
  loop.run_for(5.0);
  ASSERT_TRUE(session->mark("set ends"));
  const auto result = stop();
  ASSERT_TRUE(result);
  ASSERT_EQ(result->marks.size(), 2U);
  EXPECT_EQ(result->marks[0].text, "set begins");
  EXPECT_NEAR(result->marks[0].t_s, before + 2.0, 1e-6);
  EXPECT_NEAR(result->marks[1].t_s, before + 7.0, 1e-6);
}

TEST_F(SessionTest, StopWithoutStartGivesAnEmptyResult) {
  add_strap(3);
  make_session();
  ASSERT_TRUE(open());
  const auto result = stop();
  ASSERT_TRUE(result);
  EXPECT_TRUE(result->straps.at(0).identified);
  EXPECT_TRUE(result->straps.at(0).counts.empty());
  EXPECT_EQ(result->straps.at(0).link.lost, 0U);
}

// The last strap finishes in a heartbeat; where the journal is due for the disk in the same one, it
// is closed already.
TEST_F(SessionTest, StopsWhereEveryHeartbeatSyncsTheJournal) {
  add_strap(7);
  SessionOptions options;
  options.sync_interval_ns = 0;
  const auto result = record(0.5, options);
  ASSERT_TRUE(result) << result.error().line();
  expect_all_readings(result->straps[0], *straps[0]);
  EXPECT_TRUE(result->ended);
  EXPECT_TRUE(notes.failures.empty());
}

TEST_F(SessionTest, StopWhileOpeningAnswersBoth) {
  add_strap(3);
  make_session();
  std::optional<Result<void>> opened;
  session->open([&](const Result<void>& result) { opened = result; });
  const auto result = stop();
  ASSERT_TRUE(result);
  loop.run_for(0.1);
  ASSERT_TRUE(opened.has_value());
  EXPECT_EQ(opened->error().line(), "stopped before the straps were ready");
}

TEST_F(SessionTest, SaysWhichStrapIsMissing) {
  add_strap(3);
  requests.push_back({*parse_address("/dev/nothing"), "right shank"});
  make_session();
  const auto ready = open();
  ASSERT_FALSE(ready);
  EXPECT_EQ(ready.error().line(), "/dev/nothing: no such serial port; attach it");
  EXPECT_FALSE(straps[0]->linked());
}

TEST_F(SessionTest, SaysWhenNobodyAnswers) {
  add_strap(3, {.corrupt = 1.0});
  make_session();
  const auto ready = open();
  ASSERT_FALSE(ready);
  EXPECT_EQ(ready.error().line(),
            "/dev/fake0: no strap answers; check that it is a strap, switched on and charged");
}

TEST_F(SessionTest, RefusesTheSameStrapTwice) {
  add_strap(3);
  add_strap(3);
  make_session();
  const auto ready = open();
  ASSERT_FALSE(ready);
  EXPECT_EQ(ready.error().line(),
            "/dev/fake0 and /dev/fake1: the same strap answers at two addresses; give each strap "
            "once");
}

TEST_F(SessionTest, SaysWhenNoSampleRateFits) {
  add_strap(3);
  make_session({.rate = {1000, 1}});
  const auto ready = open();
  ASSERT_FALSE(ready);
  EXPECT_EQ(ready.error().line(),
            "/dev/fake0: the strap has no sample rate near the one asked for");
}

TEST_F(SessionTest, TakesAStrapOverThatStreamsForAHostThatIsGone) {
  FakeStrap& strap = add_strap(3);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  session.reset();  // the first host dies without a stop
  journal.reset();
  loop.run_for(1.0);
  ASSERT_EQ(strap.device().state(), firmware_protocol::DeviceState::streaming);
  const std::size_t before = strap.readings().size();
  std::filesystem::remove(path.text());
  const auto result = record(5.0);
  ASSERT_TRUE(result) << result.error().line();
  const StrapResult& got = result->straps[0];
  EXPECT_EQ(got.link.lost, 0U);
  EXPECT_EQ(got.link.restarts, 0U);
  // Nothing of the earlier stream is among them: they are the last ones that the strap took.
  ASSERT_LT(got.counts.size(), strap.readings().size() - before + 10);
  ASSERT_GT(got.counts.size(), 500U);
  for (std::size_t i = 1; i <= got.counts.size(); ++i) {
    ASSERT_EQ(got.counts[got.counts.size() - i],
              strap.readings()[strap.readings().size() - i].counts);
  }
}

}  // namespace
}  // namespace strapline::acquisition::testing
