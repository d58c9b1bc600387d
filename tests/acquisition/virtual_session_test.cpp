#include <algorithm>
#include <filesystem>
#include <random>
#include <thread>

#include <gtest/gtest.h>
#include <unistd.h>

#include "strapline/acquisition/event_loop.hpp"
#include "strapline/acquisition/session.hpp"
#include "strapline/acquisition/virtual_strap.hpp"

namespace strapline::acquisition {
namespace {

namespace fp = firmware_protocol;

constexpr double kSpeed = 5.0;
constexpr std::size_t kReadings = 1000;  // 10 s of 100 Hz

StrapScript script(std::uint64_t device_id, double skew_ppm, double begins_s) {
  StrapScript script;
  script.name = "strap " + std::to_string(device_id);
  script.identity.device_id = device_id;
  script.identity.tick_hz = 1'000'000;
  script.identity.rate = {100, 1};
  script.identity.acc_scale_pico = 1;
  script.identity.gyr_scale_pico = 1;
  script.seconds_per_tick = 1e-6 / (1.0 + 1e-6 * skew_ppm);
  std::mt19937 random(static_cast<unsigned>(device_id));
  std::uniform_int_distribution<int> count(INT16_MIN, INT16_MAX);
  for (std::size_t i = 0; i < kReadings; ++i) {
    fp::SampleCounts counts{};
    for (auto& axis : counts) axis = static_cast<std::int16_t>(count(random));
    script.counts.push_back(counts);
    script.ticks.push_back(static_cast<std::int64_t>(10'000 * i + 777'000 * device_id));
  }
  script.offset_s = begins_s - static_cast<double>(script.ticks.front()) * script.seconds_per_tick;
  return script;
}

/// Stops the session once every strap has sent enough, or when that takes far too long.
class Recorder : public SessionObserver {
 public:
  Recorder(EventLoop& loop, std::size_t straps) : loop_(loop), samples_(straps) {}

  Result<SessionResult> record(Session& session) {
    loop_.after(300'000'000'000, [&] { stop(session); });
    session.open([&](Result<void> ready) {
      if (!ready) {
        result_ = tl::make_unexpected(ready.error());
        return loop_.stop();
      }
      session.start();
      watch(session);
    });
    loop_.run();
    return std::move(result_);
  }

  void on_samples(std::uint16_t strap, std::span<const LiveSample> samples) override {
    samples_.at(strap) += samples.size();
  }

 private:
  void watch(Session& session) {
    const bool enough =
        std::all_of(samples_.begin(), samples_.end(), [](auto n) { return n >= kReadings; });
    if (enough) return stop(session);
    loop_.after(50'000'000, [&] { watch(session); });
  }

  void stop(Session& session) {
    if (std::exchange(stopping_, true)) return;
    session.stop([&](Result<SessionResult> result) {
      result_ = std::move(result);
      loop_.stop();
    });
  }

  EventLoop& loop_;
  std::vector<std::size_t> samples_;
  bool stopping_ = false;
  Result<SessionResult> result_ = fail("the session never ended");
};

Result<SessionResult> record(const std::vector<std::string>& addresses) {
  const auto path =
      std::filesystem::temp_directory_path() / ("virtual-session-" + std::to_string(::getpid()));
  std::filesystem::remove(path);
  std::vector<StrapRequest> requests;
  for (const auto& address : addresses) {
    const auto parsed = parse_address(address);
    if (!parsed) return tl::make_unexpected(parsed.error());
    requests.push_back({*parsed, address});
  }
  const ScaledClock clock(kSpeed);
  EventLoop loop(clock);
  auto journal = JournalWriter::create(path, "{}", clock.now_ns());
  if (!journal) return tl::make_unexpected(journal.error());
  Recorder recorder(loop, requests.size());
  Session session(loop, loop, **journal, requests, SessionOptions{}.at_speed(kSpeed), recorder);
  auto result = recorder.record(session);
  std::filesystem::remove(path);
  return result;
}

// The whole way: firmware's state machine, real links with faults, session, journal, assembly.
TEST(VirtualSession, FindsExactlyTheCountsThatWereSent) {
  VirtualStraps straps(kSpeed, 20.0);
  const std::vector<StrapScript> scripts = {script(1, -60.0, 0.0), script(2, 0.0, 0.25),
                                            script(3, 90.0, 0.0), script(4, 20.0, 0.0)};
  const VirtualFaults lossy{.drop_batches = 0.1, .seed = 2};
  const VirtualFaults noisy{.corrupt_bytes = 0.0002, .seed = 4};
  const VirtualFaults broken{.disconnect_at_s = 4.0, .reconnect_after_s = 1.0};
  std::vector<std::string> addresses;
  for (const auto& added :
       {straps.add_pty(scripts[0]), straps.add_pty(scripts[1], lossy),
        straps.add_tcp(scripts[2], noisy), straps.add_tcp(scripts[3], broken)}) {
    ASSERT_TRUE(added) << added.error().line();
    addresses.push_back(*added);
  }
  std::thread player([&] { straps.run(); });
  const auto result = record(addresses);
  straps.stop();
  player.join();
  ASSERT_TRUE(result) << result.error().line();
  ASSERT_EQ(result->straps.size(), scripts.size());
  for (std::size_t s = 0; s < scripts.size(); ++s) {
    SCOPED_TRACE("strap " + std::to_string(s + 1));
    const StrapResult& strap = result->straps[s];
    const VirtualStrapReport report = straps.report(s);
    EXPECT_EQ(strap.identity.device_id, s + 1);
    EXPECT_EQ(report.missed, 0U);
    EXPECT_EQ(strap.counts, scripts[s].counts);
    ASSERT_EQ(strap.ticks.size(), report.offered.size());
    for (std::size_t i = 0; i < strap.ticks.size(); ++i) {
      ASSERT_NEAR(static_cast<double>(strap.ticks[i]), static_cast<double>(report.offered[i].tick),
                  1.0);
    }
    EXPECT_EQ(strap.link.lost, 0U);
    EXPECT_EQ(strap.link.device_dropped, 0U);
  }
  EXPECT_GT(straps.report(1).batches_swallowed, 0U);
  EXPECT_GE(result->straps[1].link.resent, straps.report(1).batches_swallowed);
  EXPECT_GT(straps.report(2).bytes_corrupted, 0U);
  EXPECT_GT(result->straps[2].link.corrupt, 0U);
  EXPECT_GE(result->straps[3].link.reconnects, 1U);

  // The clocks bring the readings onto one time: the second strap's begin 0.25 s after the others.
  const auto first_s = [&](std::size_t s) {
    return result->straps[s].clock.common_s(result->straps[s].ticks.front());
  };
  for (const std::size_t s : {0U, 2U, 3U}) {
    const double bound =
        0.5 * (result->straps[s].clock.round_trip_s + result->straps[1].clock.round_trip_s) + 1e-3;
    EXPECT_NEAR(first_s(1) - first_s(s), 0.25, bound) << "strap " << s + 1;
    RecordProperty("round_trip_us_" + std::to_string(s + 1),
                   static_cast<int>(1e6 * result->straps[s].clock.round_trip_s));
  }
}

TEST(VirtualSession, TwoPercentDroppedOnEveryLinkChangesNothing) {
  VirtualStraps straps(kSpeed, 20.0);
  std::vector<StrapScript> scripts;
  std::vector<std::string> addresses;
  for (std::uint32_t i = 0; i < 4; ++i) {
    scripts.push_back(script(10 + i, 10.0 * i, 0.0));
    const VirtualFaults faults{.drop_batches = 0.02, .seed = 30 + i};
    const auto added =
        i % 2 == 0 ? straps.add_pty(scripts[i], faults) : straps.add_tcp(scripts[i], faults);
    ASSERT_TRUE(added) << added.error().line();
    addresses.push_back(*added);
  }
  std::thread player([&] { straps.run(); });
  const auto result = record(addresses);
  straps.stop();
  player.join();
  ASSERT_TRUE(result) << result.error().line();
  std::uint64_t swallowed = 0;
  std::uint64_t resent = 0;
  for (std::size_t s = 0; s < 4; ++s) {
    EXPECT_EQ(result->straps[s].counts, scripts[s].counts) << "strap " << s;
    EXPECT_EQ(result->straps[s].link.lost, 0U);
    swallowed += straps.report(s).batches_swallowed;
    resent += result->straps[s].link.resent;
  }
  EXPECT_GT(swallowed, 0U);
  EXPECT_GE(resent, swallowed);
}

}  // namespace
}  // namespace strapline::acquisition
