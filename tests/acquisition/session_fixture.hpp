#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <unistd.h>

#include "strapline/acquisition/session.hpp"

#include "fake_strap.hpp"

namespace strapline::acquisition::testing {

/// A file name of this test's own, removed before and after.
class TemporaryPath {
 public:
  TemporaryPath()
      : path_((std::filesystem::temp_directory_path() /
               ("strapline_acquisition_" + std::to_string(::getpid()) + "_" +
                ::testing::UnitTest::GetInstance()->current_test_info()->name() + ".journal"))
                  .string()) {
    std::filesystem::remove(path_);
  }
  ~TemporaryPath() { std::filesystem::remove(path_); }
  TemporaryPath(const TemporaryPath&) = delete;
  TemporaryPath& operator=(const TemporaryPath&) = delete;
  [[nodiscard]] const std::string& text() const { return path_; }

 private:
  std::string path_;
};

/// Keeps what it was told.
class Notes : public SessionObserver {
 public:
  void on_samples(std::uint16_t strap, std::span<const LiveSample> samples) override {
    if (live.size() <= strap) live.resize(std::size_t{strap} + 1);
    live[strap].insert(live[strap].end(), samples.begin(), samples.end());
  }
  void on_event(const SessionEvent& event) override { events.push_back(event); }
  void on_failure(const Failure& failure) override { failures.push_back(failure); }
  [[nodiscard]] std::size_t count(SessionEvent::Kind kind) const {
    std::size_t n = 0;
    for (const auto& event : events) n += event.kind == kind ? 1U : 0U;
    return n;
  }
  std::vector<std::vector<LiveSample>> live;
  std::vector<SessionEvent> events;
  std::vector<Failure> failures;
};

/// Sessions with fake straps in simulated time.
class SessionTest : public ::testing::Test {
 protected:
  FakeStrap& add_strap(std::uint64_t id, LinkFaults faults = {}, double skew_ppm = 30.0,
                       std::size_t ring = 256) {
    straps.push_back(std::make_unique<FakeStrap>(loop, id, faults, skew_ppm, ring));
    const std::string device = "/dev/fake" + std::to_string(requests.size());
    links.add(device, *straps.back());
    requests.push_back({*parse_address(device), "strap " + std::to_string(requests.size())});
    return *straps.back();
  }

  void make_session(SessionOptions options = {}) {
    options.sync_interval_ns *= 30;  // simulated seconds are short, real disks are slow
    auto created = JournalWriter::create(path.text(), "client=winch operator", loop.time_ns());
    ASSERT_TRUE(created) << created.error().line();
    journal = std::move(*created);
    session = std::make_unique<Session>(loop, links, *journal, requests, options, notes);
  }

  Result<void> open() {
    std::optional<Result<void>> answer;
    session->open([&](const Result<void>& result) { answer = result; });
    if (!loop.run_until([&] { return answer.has_value(); }, 60.0)) return fail("no answer");
    return *answer;
  }

  Result<SessionResult> stop() {
    std::optional<Result<SessionResult>> answer;
    session->stop([&](Result<SessionResult> result) { answer = std::move(result); });
    if (!loop.run_until([&] { return answer.has_value(); }, 60.0)) return fail("no answer");
    return std::move(*answer);
  }

  /// open, start, `seconds` of streaming, stop.
  Result<SessionResult> record(double seconds, SessionOptions options = {}) {
    make_session(options);
    if (const auto ready = open(); !ready) return tl::make_unexpected(ready.error());
    session->start();
    loop.run_for(seconds);
    return stop();
  }

  SimulatedLoop loop;
  FakeLinks links{loop};
  std::vector<std::unique_ptr<FakeStrap>> straps;
  std::vector<StrapRequest> requests;
  TemporaryPath path;
  Notes notes;
  std::unique_ptr<JournalWriter> journal;
  std::unique_ptr<Session> session;
};

/// Exactly the readings that the strap took, in order, with its own ticks.
inline void expect_all_readings(const StrapResult& result, const FakeStrap& strap) {
  ASSERT_EQ(result.counts.size(), strap.readings().size());
  ASSERT_EQ(result.ticks.size(), strap.readings().size());
  for (std::size_t i = 0; i < result.counts.size(); ++i) {
    ASSERT_EQ(result.counts[i], strap.readings()[i].counts) << "reading " << i;
    // Batches carry their first and last tick: what lies between may be off by rounding.
    ASSERT_NEAR(static_cast<double>(result.ticks[i]), static_cast<double>(strap.readings()[i].tick),
                2.0);
  }
}

}  // namespace strapline::acquisition::testing
