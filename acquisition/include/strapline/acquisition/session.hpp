#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "strapline/acquisition/byte_stream.hpp"
#include "strapline/acquisition/journal.hpp"
#include "strapline/acquisition/scheduler.hpp"
#include "strapline/acquisition/session_result.hpp"

namespace strapline::acquisition {

/// Which strap is where.
struct StrapRequest {
  Address address;
  std::string label;  ///< the caller's name for it, say the placement
};

/// All times are of the host clock, nanoseconds.
struct SessionOptions {
  firmware_protocol::Rate rate = {};  ///< wanted sample rate; numerator 0: each strap's default
  std::uint8_t batch_samples = 0;     ///< per batch; 0: each strap's default
  std::int64_t connect_timeout_ns = 5'000'000'000;  ///< to open one link
  std::int64_t request_timeout_ns = 400'000'000;    ///< before a request is repeated
  int request_attempts = 6;                         ///< then the link counts as dropped
  int burst_pings = 16;                             ///< before the start and after the stop
  std::int64_t ping_interval_ns = 1'000'000'000;    ///< in between
  std::int64_t resend_delay_ns = 60'000'000;        ///< a batch may be this late before being asked
                                                    ///< for again
  std::int64_t resend_interval_ns = 250'000'000;    ///< before it is asked for once more
  int resend_attempts = 6;                          ///< then the batch is given up
  std::int64_t silence_ns = 3'000'000'000;          ///< without a byte: the link counts as dropped
  std::int64_t reconnect_for_ns = 60'000'000'000;   ///< before a dropped strap is given up
  std::int64_t reconnect_interval_ns = 500'000'000;  ///< between attempts
  std::int64_t drain_ns = 5'000'000'000;             ///< after stop, to bring in what is missing
  std::int64_t sync_interval_ns = 1'000'000'000;     ///< between syncs of the journal to the disk

  /// The same for a clock that runs `speed` times as fast as life (ScaledClock): what bounds real
  /// things, such as the machine's own pauses, takes as much real time as before.
  [[nodiscard]] SessionOptions at_speed(double speed) const;
};

/// One reading as it comes, in order.
struct LiveSample {
  double t_s = 0.0;       ///< common time by the clock as known now; the final fit may differ
  std::int64_t tick = 0;  ///< device ticks since the strap's power-up
  firmware_protocol::SampleCounts counts{};  ///< ax ay az gx gy gz
  bool after_gap = false;  ///< batches before it were given up, or the strap restarted
};

/// Something a person may want to know, as it happens.
struct SessionEvent {
  enum class Kind : std::uint8_t {
    kConnected,
    kDropped,      ///< trying to connect again
    kReconnected,  ///< going on in the same recording
    kRestarted,    ///< the strap lost power or was reset: what it held is gone
    kGaveUp,       ///< the strap takes no further part
    kRefused,      ///< the strap does not do what it was asked
  };
  Kind kind{};
  std::uint16_t strap = 0;
  std::string text;  ///< one clear line, with the strap's address
};

/// State of one strap for a live view.
struct StrapLive {
  std::string label;
  std::string address;
  bool connected = false;
  bool streaming = false;
  bool given_up = false;  ///< takes no further part
  std::optional<firmware_protocol::Identity> identity;  ///< scales of the counts, part, rate
  std::optional<int> battery_percent;
  std::optional<double> temperature_c;
  std::uint64_t samples = 0;  ///< received so far, those waiting for a resent batch included
  double seconds = 0.0;       ///< of readings, first to newest
  std::uint64_t missing = 0;  ///< batches not there at this moment, asked for again or given up
  LinkStatistics link;        ///< so far; `lost` = `missing`
  std::optional<ClockFit> clock;
};

/// Is told what happens, from the event loop. Every function may be left as it is.
class SessionObserver {
 public:
  SessionObserver() = default;
  SessionObserver(const SessionObserver&) = delete;
  SessionObserver& operator=(const SessionObserver&) = delete;
  virtual ~SessionObserver() = default;

  /// Readings of one strap, in order; a batch that must be sent again holds the later ones back
  /// until it comes or is given up (at most resend_attempts × resend_interval_ns).
  virtual void on_samples(std::uint16_t /*strap*/, std::span<const LiveSample> /*samples*/) {}
  virtual void on_event(const SessionEvent& /*event*/) {}
  /// The journal cannot be written: the session has stopped, what was written is kept.
  virtual void on_failure(const Failure& /*failure*/) {}
};

/// Records from any number of straps on one event loop: connects, configures, measures the clocks,
/// streams, brings in what was lost on the way, reconnects, stops. Every received frame is in the
/// journal before anything else looks at it.
///
///     Session session(loop, loop, *journal, straps, {}, observer);
///     session.open([&](Result<void> ready) { if (ready) session.start(); else ...; });
///     loop.on_interrupt([&] { session.stop([&](Result<SessionResult> result) { ... }); });
///     loop.run();
class Session {
 public:
  /// Scheduler, opener, journal and observer outlive the session.
  Session(Scheduler& scheduler, LinkOpener& opener, JournalWriter& journal,
          std::vector<StrapRequest> straps, SessionOptions options, SessionObserver& observer);
  ~Session();  ///< closes the links at once, without draining

  /// Connects all straps, asks who they are, configures them and measures their clocks. Calls the
  /// handler once: with success when all are ready; with one clear line for the first that is not
  /// (the others are then closed).
  void open(std::function<void(Result<void>)> handler);
  /// Lets all straps stream. After open() succeeded.
  void start();
  /// Notes a text at this moment, say where a part begins.
  [[nodiscard]] Result<void> mark(std::string_view text);
  /// Stops all straps, waits for what is missing, measures the clocks once more, closes links and
  /// journal, and calls the handler once with what the journal holds. May be called at any time
  /// after open(); an open() under way then ends with a failure.
  void stop(std::function<void(Result<SessionResult>)> handler);

  [[nodiscard]] std::vector<StrapLive> live() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace strapline::acquisition
