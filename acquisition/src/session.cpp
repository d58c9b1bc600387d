#include "strapline/acquisition/session.hpp"

#include <algorithm>
#include <cassert>

#include "strap_link.hpp"

namespace strapline::acquisition {
namespace {

/// Of retries, pings in a burst and time-outs.
constexpr std::int64_t kHeartbeat_ns = 20'000'000;

/// A strap's memory is bounded in its own time: requests for missing batches cannot wait for ever.
constexpr double kMostResendPatience = 8.0;

}  // namespace

SessionOptions SessionOptions::at_speed(double speed) const {
  SessionOptions options = *this;
  const auto stretch = [](std::int64_t& time_ns, double factor) {
    time_ns = static_cast<std::int64_t>(static_cast<double>(time_ns) * std::max(1.0, factor));
  };
  for (std::int64_t* time :
       {&options.connect_timeout_ns, &options.request_timeout_ns, &options.silence_ns,
        &options.reconnect_for_ns, &options.drain_ns, &options.sync_interval_ns}) {
    stretch(*time, speed);
  }
  stretch(options.resend_delay_ns, std::min(speed, kMostResendPatience));
  stretch(options.resend_interval_ns, std::min(speed, kMostResendPatience));
  return options;
}

struct Session::State : StrapLinkOwner {
  State(Scheduler& s, JournalWriter& j, SessionOptions o, SessionObserver& w)
      : scheduler(s), journal(j), options(o), observer(w) {}
  ~State() override { scheduler.cancel(heartbeat); }

  [[nodiscard]] std::int64_t now() const { return scheduler.clock().now_ns(); }

  void declare_straps() {
    for (std::size_t i = 0; i < links.size(); ++i) {
      const StrapRequest& request = links[i]->request();
      const auto done = journal.declare_strap(static_cast<std::uint16_t>(i), now(), request.label,
                                              request.address.text());
      if (!done) return journal_failed(done.error());
    }
  }

  void beat() {
    heartbeat = scheduler.after(kHeartbeat_ns, [this] { beat(); });
    for (const auto& link : links) link->tick();
    if (failed || closed || now() < next_sync_ns) return;  // a tick may have ended it
    next_sync_ns = now() + options.sync_interval_ns;
    if (const auto synced = journal.sync(); !synced) journal_failed(synced.error());
  }

  void rest() {
    scheduler.cancel(heartbeat);
    heartbeat = 0;
    for (const auto& link : links) link->close();
  }

  // Handlers run from the loop, where the caller may even destroy the session.
  void answer_open(Result<void> result) {
    if (!open_handler) return;
    scheduler.post([handler = std::exchange(open_handler, nullptr), result] { handler(result); });
  }
  void answer_stop(Result<SessionResult> result) {
    if (!stop_handler) return;
    auto shared = std::make_shared<Result<SessionResult>>(std::move(result));
    scheduler.post(
        [handler = std::exchange(stop_handler, nullptr), shared] { handler(std::move(*shared)); });
  }

  [[nodiscard]] Result<void> check_different() const {
    for (const auto& a : links) {
      for (const auto& b : links) {
        if (&a == &b) break;
        if (a->ledger().identity()->device_id != b->ledger().identity()->device_id) continue;
        return fail("the same strap answers at two addresses",
                    b->request().address.text() + " and " + a->request().address.text(),
                    "give each strap once");
      }
    }
    return {};
  }

  void strap_ready() override {
    if (!std::all_of(links.begin(), links.end(), [](const auto& l) { return l->ready(); })) return;
    const auto different = check_different();
    if (!different) rest();
    answer_open(different);
  }

  void strap_failed(const Failure& failure) override {
    rest();
    answer_open(tl::make_unexpected(failure));
  }

  void strap_finished() override {
    if (!stopping || failed) return;
    if (!std::all_of(links.begin(), links.end(), [](const auto& l) { return l->finished(); })) {
      return;
    }
    if (std::exchange(closed, true)) return;
    rest();
    if (const auto done = journal.close(now()); !done) return journal_failed(done.error());
    answer_stop(assemble_from_journal(journal.path()));
  }

  void journal_failed(const Failure& failure) override {
    if (std::exchange(failed, failure)) return;
    rest();
    observer.on_failure(failure);
    answer_open(tl::make_unexpected(failure));
    answer_stop(tl::make_unexpected(failure));
  }

  void event(SessionEvent event) override { observer.on_event(event); }
  void samples(std::uint16_t strap, std::span<const LiveSample> samples) override {
    observer.on_samples(strap, samples);
  }

  Scheduler& scheduler;
  JournalWriter& journal;
  SessionOptions options;
  SessionObserver& observer;
  std::vector<std::unique_ptr<StrapLink>> links;
  std::function<void(Result<void>)> open_handler;
  std::function<void(Result<SessionResult>)> stop_handler;
  Scheduler::TimerId heartbeat = 0;
  std::int64_t next_sync_ns = 0;
  bool stopping = false;
  bool closed = false;  ///< the journal has its end
  std::optional<Failure> failed;
};

Session::Session(Scheduler& scheduler, LinkOpener& opener, JournalWriter& journal,
                 std::vector<StrapRequest> straps, SessionOptions options,
                 SessionObserver& observer)
    : state_(std::make_unique<State>(scheduler, journal, options, observer)) {
  for (std::size_t i = 0; i < straps.size(); ++i) {
    state_->links.push_back(std::make_unique<StrapLink>(scheduler, opener, journal, state_->options,
                                                        *state_, static_cast<std::uint16_t>(i),
                                                        straps[i]));
  }
}

Session::~Session() = default;

void Session::open(std::function<void(Result<void>)> handler) {
  state_->open_handler = std::move(handler);
  if (state_->links.empty()) {
    return state_->answer_open(fail("no strap to record from", {}, "give at least one address"));
  }
  state_->declare_straps();
  if (state_->failed) return;
  for (const auto& link : state_->links) link->open();
  state_->beat();
}

void Session::start() {
  for (const auto& link : state_->links) link->aim_for(StrapLink::Goal::kStream);
}

Result<void> Session::mark(std::string_view text) {
  return state_->journal.mark(state_->now(), text);
}

void Session::stop(std::function<void(Result<SessionResult>)> handler) {
  State& state = *state_;
  if (state.stopping) return;
  state.stopping = true;
  state.stop_handler = std::move(handler);
  if (state.failed) return state.answer_stop(tl::make_unexpected(*state.failed));
  state.answer_open(fail("stopped before the straps were ready"));
  for (const auto& link : state.links) link->aim_for(StrapLink::Goal::kDone);
  state.strap_finished();  // nobody was left to stop
}

std::vector<StrapLive> Session::live() const {
  std::vector<StrapLive> straps;
  for (const auto& link : state_->links) straps.push_back(link->live());
  return straps;
}

}  // namespace strapline::acquisition
