#include "strapline/acquisition/virtual_strap.hpp"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include <gtest/gtest.h>
#include <unistd.h>

#include "virtual_strap_client.hpp"

namespace strapline::acquisition {
namespace {

namespace fp = firmware_protocol;
using testing::Client;

constexpr double kRateHz = 104.0;
constexpr double kTickHz = 32768.0;

/// Random counts over the whole range of 16 bits, as a strap with this skew would stamp them.
StrapScript script(std::size_t n, std::uint64_t device_id = 1, double skew_ppm = 0.0) {
  StrapScript script;
  script.name = "strap " + std::to_string(device_id);
  script.identity.device_id = device_id;
  script.identity.tick_hz = 32768;
  script.identity.rate = {104, 1};
  script.identity.acc_scale_pico = 4'785'645'000;
  script.identity.gyr_scale_pico = 1'221'730'476;
  script.seconds_per_tick = 1.0 / (kTickHz * (1.0 + 1e-6 * skew_ppm));
  std::mt19937 random(static_cast<unsigned>(device_id));
  std::uniform_int_distribution<int> count(INT16_MIN, INT16_MAX);
  for (std::size_t i = 0; i < n; ++i) {
    fp::SampleCounts counts{};
    for (auto& axis : counts) axis = static_cast<std::int16_t>(count(random));
    script.counts.push_back(counts);
    script.ticks.push_back(std::llround(static_cast<double>(i) / kRateHz * kTickHz));
  }
  return script;
}

/// Virtual straps that run in a thread of their own until they are asked for their reports.
class Running {
 public:
  explicit Running(VirtualStraps& straps) : straps_(straps), thread_([this] { straps_.run(); }) {}
  ~Running() { stop(); }
  Running(const Running&) = delete;
  Running& operator=(const Running&) = delete;

  void stop() {
    straps_.stop();
    if (thread_.joinable()) thread_.join();
  }

 private:
  VirtualStraps& straps_;
  std::thread thread_;
};

/// What the host heard is what the device was given: counts exactly, ticks to the nearest of a
/// batch's even spacing.
void expect_same(const Client::Heard& heard, const VirtualStrapReport& report) {
  ASSERT_EQ(heard.counts.size(), report.offered.size());
  for (std::size_t i = 0; i < heard.counts.size(); ++i) {
    ASSERT_EQ(heard.counts[i], report.offered[i].counts) << i;
    ASSERT_NEAR(static_cast<double>(heard.ticks[i]), static_cast<double>(report.offered[i].tick),
                1.0)
        << i;
  }
}

void expect_whole_script(const VirtualStrapReport& report, const StrapScript& script) {
  EXPECT_EQ(report.missed, 0U);
  ASSERT_EQ(report.offered.size(), script.counts.size());
  for (std::size_t i = 0; i < script.counts.size(); ++i) {
    ASSERT_EQ(report.offered[i].counts, script.counts[i]) << i;
    ASSERT_EQ(report.offered[i].tick, script.ticks[i] + report.tick_shift) << i;
  }
}

class VirtualStrapOn : public ::testing::TestWithParam<const char*> {
 protected:
  static Result<std::string> add(VirtualStraps& straps, const StrapScript& what,
                                 const VirtualFaults& faults = {}) {
    return std::string(GetParam()) == "pty" ? straps.add_pty(what, faults)
                                            : straps.add_tcp(what, faults);
  }
};
INSTANTIATE_TEST_SUITE_P(Links, VirtualStrapOn, ::testing::Values("pty", "tcp"));

TEST_P(VirtualStrapOn, PlaysEveryReading) {
  const StrapScript played = script(700, 42);
  VirtualStraps straps(20.0);
  const auto address = add(straps, played);
  ASSERT_TRUE(address) << address.error().line();
  std::thread thread([&] { straps.run_once(); });
  {
    Client host(*address);
    EXPECT_EQ(host.ask<fp::Identity>(fp::Identify{7}).device_id, 42U);
    const auto first = host.start();
    host.listen_for_samples(700);
    host.stop_and_complete(first);
    EXPECT_EQ(host.decoder.counts().lost(), 0U);
    EXPECT_EQ(host.status.battery_percent, played.battery_percent);
    host.close();
    thread.join();  // run_once() ends once the host has gone
    expect_same(host.heard(), straps.report(0));
  }
  expect_whole_script(straps.report(0), played);
}

TEST_P(VirtualStrapOn, GapsInTheScriptStayGaps) {
  StrapScript played = script(207);  // 57 readings, 40 missing, 110 readings
  played.counts.erase(played.counts.begin() + 57, played.counts.begin() + 97);
  played.ticks.erase(played.ticks.begin() + 57, played.ticks.begin() + 97);
  VirtualStraps straps(20.0);
  const auto address = add(straps, played);
  Running running(straps);
  Client host(*address);
  const auto first = host.start();
  host.listen_for_samples(167);
  host.stop_and_complete(first);
  running.stop();
  expect_same(host.heard(), straps.report(0));
  expect_whole_script(straps.report(0), played);
}

TEST_P(VirtualStrapOn, SwallowedBatchesCanBeAskedForAgain) {
  VirtualStraps straps(40.0);
  const auto address = add(straps, script(1500), {.drop_batches = 0.2, .seed = 3});
  Running running(straps);
  Client host(*address);
  const auto first = host.start();
  host.listen_for_batch(140);
  host.stop_and_complete(first);
  running.stop();
  const auto report = straps.report(0);
  EXPECT_GT(report.batches_swallowed, 10U);
  EXPECT_GE(host.resent, report.batches_swallowed);
  expect_same(host.heard(), report);
}

TEST_P(VirtualStrapOn, CorruptedBytesCostOnlyTheirFrames) {
  VirtualStraps straps(40.0);
  const auto address = add(straps, script(1500), {.corrupt_bytes = 0.001, .seed = 5});
  Running running(straps);
  Client host(*address);
  // Even the answers may come corrupted, so requests are repeated.
  const auto is = [](fp::MessageType type) {
    return [type](const fp::Frame& frame) { return frame.type == type; };
  };
  const std::chrono::milliseconds patience(100);
  do host.say(fp::Configure{1, {0, 1}, 10});
  while (!host.listen(is(fp::MessageType::configured), patience) && !host.gone());
  do host.say(fp::Start{2});
  while (!host.listen(is(fp::MessageType::acknowledge), patience) && !host.gone());
  host.listen_for_batch(140);
  host.stop_and_complete(0);
  running.stop();
  const auto report = straps.report(0);
  EXPECT_GT(report.bytes_corrupted, 10U);
  EXPECT_GT(host.decoder.counts().lost(), 5U);
  expect_same(host.heard(), report);
}

TEST_P(VirtualStrapOn, DelayHoldsFramesBackInOrder) {
  constexpr double kSpeed = 10.0, kDelay = 1.0;
  VirtualStraps straps(kSpeed);
  const auto address = add(straps, script(400), {.delay_s = kDelay});
  Running running(straps);
  Client host(*address);
  const auto asked = std::chrono::steady_clock::now();
  const auto pong = host.ask<fp::ClockPong>(fp::ClockPing{9});
  const std::chrono::duration<double> waited = std::chrono::steady_clock::now() - asked;
  EXPECT_EQ(pong.host_token, 9U);
  EXPECT_GE(waited.count(), kDelay / kSpeed);  // a slow machine only makes it longer
  const auto first = host.start();
  host.listen_for_samples(400);
  host.stop_and_complete(first);
  running.stop();
  EXPECT_EQ(host.resent, 0U);
  expect_same(host.heard(), straps.report(0));
}

TEST_P(VirtualStrapOn, StartAfterStopPlaysFromTheBeginning) {
  const StrapScript played = script(120);
  VirtualStraps straps(20.0);
  const auto address = add(straps, played);
  Running running(straps);
  Client host(*address);
  host.stop_and_complete(host.start());  // a false start
  const auto first = host.ask<fp::Acknowledge>(fp::Start{8}).sequence;
  const auto before = host.samples();
  host.listen_for_samples(before + 120);
  host.stop_and_complete(first);
  running.stop();
  expect_whole_script(straps.report(0), played);
  expect_same(host.heard(first), straps.report(0));
}

// While nobody reads, firmware must drop readings and count them...
TEST_P(VirtualStrapOn, CongestionDropsAndCounts) {
  VirtualStraps straps(5000.0);
  const auto address = add(straps, script(60000), {.drop_when_congested = true});
  Running running(straps);
  Client host(*address);
  host.say(fp::Configure{1, {0, 1}, 1});
  host.say(fp::Start{2});
  // 60000 readings take 0.12 s; the ring holds 2048 batches and the link's buffers some more.
  std::this_thread::sleep_for(std::chrono::seconds(2));
  host.listen([](const fp::Frame&) { return false; }, std::chrono::milliseconds(500));
  host.stop_and_complete(0);
  running.stop();
  const auto report = straps.report(0);
  EXPECT_GT(report.device.dropped_samples, 0U);
  EXPECT_EQ(report.device.dropped_samples, host.status.dropped_samples);
  EXPECT_EQ(report.offered.size(), 60000U);
  EXPECT_EQ(host.samples() + host.status.dropped_samples, 60000U);
}

// ... but a replay that is to lose nothing waits.
TEST_P(VirtualStrapOn, CongestionHoldsTheReplayUpOtherwise) {
  const StrapScript played = script(60000);
  VirtualStraps straps(5000.0);
  const auto address = add(straps, played);
  Running running(straps);
  Client host(*address);
  host.say(fp::Configure{1, {0, 1}, 1});
  host.say(fp::Start{2});
  std::this_thread::sleep_for(std::chrono::seconds(1));
  host.listen_for_samples(60000);
  host.stop_and_complete(0);
  running.stop();
  expect_whole_script(straps.report(0), played);
  expect_same(host.heard(), straps.report(0));
}

std::filesystem::path fresh_path(const std::string& name) {
  auto path = std::filesystem::temp_directory_path() / (name + "-" + std::to_string(::getpid()));
  std::filesystem::remove(path);
  return path;
}

void record_across_a_break(VirtualStraps& straps, const std::string& address) {
  Running running(straps);
  std::uint32_t first = 0;
  Client before(address);
  first = before.start();
  before.listen([](const fp::Frame&) { return false; });  // until the link breaks
  ASSERT_TRUE(before.gone());
  int file = -1;
  while ((file = testing::connect_to(address)) < 0) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  ::close(file);
  Client after(address);
  EXPECT_EQ(after.ask<fp::Identity>(fp::Identify{5}).state, fp::DeviceState::streaming);
  after.remember(before);
  after.listen_for_batch(89);
  after.stop_and_complete(first);
  running.stop();
  EXPECT_EQ(straps.report(0).offered.size(), 900U);
  EXPECT_GE(straps.report(0).connections, 2U);
  expect_same(after.heard(), straps.report(0));
}

constexpr VirtualFaults kBreak{.disconnect_at_s = 2.0, .reconnect_after_s = 3.0};

TEST(VirtualStrap, StreamOutlivesABrokenTcpLink) {
  VirtualStraps straps(10.0);
  const auto address = straps.add_tcp(script(900), kBreak);
  ASSERT_TRUE(address);
  record_across_a_break(straps, *address);
}

TEST(VirtualStrap, StreamOutlivesAnUnpluggedTerminal) {
  const auto path = fresh_path("strap");
  {
    VirtualStraps straps(10.0);
    const auto address = straps.add_pty(script(900), kBreak, path);
    ASSERT_TRUE(address) << address.error().line();
    EXPECT_EQ(*address, path);
    record_across_a_break(straps, *address);
  }
  EXPECT_FALSE(std::filesystem::exists(std::filesystem::symlink_status(path)));
}

TEST(VirtualStrap, DisconnectionForGood) {
  VirtualStraps straps(10.0);
  const auto address = straps.add_tcp(script(900), {.disconnect_at_s = 1.0});
  Running running(straps);
  Client host(*address);
  (void)host.start();
  host.listen([](const fp::Frame&) { return false; });
  EXPECT_TRUE(host.gone());
  EXPECT_LT(testing::connect_to(*address), 0);
}

TEST(VirtualStraps, ShareOneClock) {
  // The second strap's readings begin half a second later, on a clock that runs 80 ppm fast and
  // counts from another number.
  StrapScript one = script(300, 1, -50.0), two = script(300, 2, 80.0);
  for (auto& tick : two.ticks) tick += 1'000'000;
  two.offset_s = 0.5 - 1e6 * two.seconds_per_tick;
  VirtualStraps straps(10.0);
  const auto a = straps.add_pty(one), b = straps.add_tcp(two);
  Running running(straps);
  Client first(*a), second(*b);
  const auto first_at = first.start();
  const auto second_at = second.start();
  first.listen_for_samples(300);
  second.listen_for_samples(300);
  first.stop_and_complete(first_at);
  second.stop_and_complete(second_at);
  running.stop();
  expect_whole_script(straps.report(0), one);
  expect_whole_script(straps.report(1), two);
  // Both counters were at their first tick at the same moment.
  const double t1 = static_cast<double>(straps.report(0).offered[0].tick) * one.seconds_per_tick;
  const double t2 =
      static_cast<double>(straps.report(1).offered[0].tick - 1'000'000) * two.seconds_per_tick;
  EXPECT_NEAR(t2 - t1, 0.5, 2.0 / kTickHz);
}

TEST(VirtualStraps, DoNotWaitForEverForAStrapThatNobodyStarts) {
  VirtualStraps straps(20.0, 0.05);
  const auto a = straps.add_pty(script(200, 1)), b = straps.add_pty(script(200, 2));
  Running running(straps);
  Client host(*a);
  const auto first = host.start();
  host.listen_for_samples(200);
  host.stop_and_complete(first);
  running.stop();
  EXPECT_EQ(straps.report(0).offered.size(), 200U);
  EXPECT_EQ(straps.report(1).offered.size(), 0U);
  EXPECT_EQ(straps.report(1).missed, 200U);
}

TEST(VirtualStraps, RefuseWhatCannotBePlayed) {
  VirtualStraps straps(1.0);
  const auto refused = [&](auto spoil) {
    StrapScript bad = script(10, 3);
    spoil(bad);
    const auto result = straps.add_tcp(bad);
    return result ? std::string("taken") : result.error().line();
  };
  EXPECT_EQ(refused([](auto& s) { s.counts.clear(); }), "strap 3: there are no readings to play");
  EXPECT_EQ(refused([](auto& s) { s.ticks.pop_back(); }), "strap 3: every reading needs one tick");
  EXPECT_EQ(refused([](auto& s) { s.ticks[4] = s.ticks[3]; }),
            "strap 3: ticks must increase; reading 5 does not");
  EXPECT_EQ(refused([](auto& s) { s.seconds_per_tick = 0.0; }),
            "strap 3: the tick rate must be positive");
  EXPECT_EQ(refused([](auto& s) {
              s.identity.rate = {0, 1};
            }),
            "strap 3: the sample rate must be positive");
  EXPECT_FALSE(straps.add_tcp(script(10), {.drop_batches = 1.5}));
  EXPECT_EQ(straps.size(), 0U);
}

TEST(VirtualStraps, PortInUseAndNameTaken) {
  VirtualStraps straps(1.0), others(1.0);
  const auto address = straps.add_tcp(script(10));
  ASSERT_TRUE(address);
  const auto port = static_cast<std::uint16_t>(std::stoi(address->substr(address->rfind(':') + 1)));
  const auto second = others.add_tcp(script(10), {}, port);
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().line(),
            *address + ": the port is in use by another program; choose another or 0");

  const auto path = fresh_path("taken");
  std::ofstream(path) << "precious";
  const auto taken = others.add_pty(script(10), {}, path);
  ASSERT_FALSE(taken);
  EXPECT_EQ(taken.error().what, "a file of this name exists");
  std::string content;
  std::ifstream(path) >> content;
  EXPECT_EQ(content, "precious");
  std::filesystem::remove(path);
}

}  // namespace
}  // namespace strapline::acquisition
