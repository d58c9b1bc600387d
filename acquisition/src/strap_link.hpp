#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>

#include "strapline/acquisition/session.hpp"

#include "frame_splitter.hpp"
#include "missing_batches.hpp"
#include "strap_ledger.hpp"

namespace strapline::acquisition {

/// What a StrapLink needs from its session. Calls come from the event loop; a link may be told to
/// close during any of them, never destroyed.
class StrapLinkOwner {
 public:
  StrapLinkOwner() = default;
  StrapLinkOwner(const StrapLinkOwner&) = delete;
  StrapLinkOwner& operator=(const StrapLinkOwner&) = delete;
  virtual ~StrapLinkOwner() = default;

  virtual void strap_ready() = 0;
  virtual void strap_finished() = 0;
  /// Before it was ever ready: opening fails.
  virtual void strap_failed(const Failure& failure) = 0;
  virtual void journal_failed(const Failure& failure) = 0;
  virtual void event(SessionEvent event) = 0;
  virtual void samples(std::uint16_t strap, std::span<const LiveSample> samples) = 0;
};

/// The session's side of one strap: carries the strap from wherever it is to where the session
/// wants it. What to do next follows from what is known (the ledger, this link's answers), so that
/// reconnecting takes the same path as connecting. Has no timers: tick() is called every few tens
/// of milliseconds.
class StrapLink {
 public:
  enum class Goal : std::uint8_t { kReady, kStream, kDone };

  StrapLink(Scheduler& scheduler, LinkOpener& opener, JournalWriter& journal,
            const SessionOptions& options, StrapLinkOwner& owner, std::uint16_t index,
            StrapRequest request);

  void open();
  void aim_for(Goal goal);
  void tick();
  /// Closes at once; nothing is called any more.
  void close();

  [[nodiscard]] bool ready() const { return ready_; }
  [[nodiscard]] bool finished() const { return finished_; }
  [[nodiscard]] const StrapRequest& request() const { return request_; }
  [[nodiscard]] const StrapLedger& ledger() const { return ledger_; }
  [[nodiscard]] StrapLive live() const;

 private:
  enum class Ask : std::uint8_t { kNothing, kIdentify, kConfigure, kStart, kStop };

  // strap_link.cpp: from one step to the next
  void advance();
  [[nodiscard]] Ask next_ask() const;
  void ask(Ask what);
  void send_ask();
  void answered(Ask what);
  void repeat_ask(std::int64_t now);
  void settle();
  void finish();

  // strap_link_io.cpp: the link itself
  void opened(Result<std::unique_ptr<ByteStream>> result);
  void read();
  void received(std::span<const std::uint8_t> bytes);
  void drop(const Failure& why);
  void give_up(const Failure& why);
  void reconnect(std::int64_t now);
  void send_bytes(std::vector<std::uint8_t> bytes);
  template <class Message>
  void send(const Message& message) {
    std::vector<std::uint8_t> bytes(firmware_protocol::kMaxEncodedFrameBytes);
    bytes.resize(firmware_protocol::encode_message(message, bytes));
    send_bytes(std::move(bytes));
  }
  /// False, and the session told, where the journal could not be written.
  [[nodiscard]] bool noted(const Result<void>& journal_result);
  void tell(SessionEvent::Kind kind, std::string text);

  // strap_link_messages.cpp: what the strap says
  void on(const firmware_protocol::Identity& identity);
  void on(const firmware_protocol::Configured& configured);
  void on(const firmware_protocol::Acknowledge& acknowledge);
  void on(const firmware_protocol::Refuse& refuse);
  void on(const firmware_protocol::ClockPong& pong);
  void on(const firmware_protocol::Status& status);
  void on(const FiledBatch& filed);
  void on_refused_resend(const firmware_protocol::Refuse& refuse);
  void notice_restart();
  void miss_up_to_known_end();
  void deliver();
  void emit(const firmware_protocol::SampleBatch& batch);

  // strap_link.cpp: pings and resends, from tick()
  void begin_burst();
  [[nodiscard]] bool burst_over() const { return burst_left_ == 0 && now() >= burst_ends_ns_; }
  void send_pings(std::int64_t now);
  void send_resends(std::int64_t now);

  [[nodiscard]] std::int64_t now() const { return scheduler_.clock().now_ns(); }

  Scheduler& scheduler_;
  LinkOpener& opener_;
  JournalWriter& journal_;
  const SessionOptions& options_;
  StrapLinkOwner& owner_;
  std::uint16_t index_;
  StrapRequest request_;
  StrapLedger ledger_;
  std::shared_ptr<bool> alive_ = std::make_shared<bool>(true);  ///< for answers that outlive us

  Goal goal_ = Goal::kReady;
  bool ready_ = false;
  bool finished_ = false;
  std::int64_t drain_until_ns_ = 0;

  // this link
  std::unique_ptr<ByteStream> stream_;
  FrameSplitter splitter_;
  bool opening_ = false;
  bool link_is_new_ = false;
  bool identified_ = false;
  bool configured_ = false;
  bool may_stream_ = false;    ///< start was sent, and no stop acknowledged since
  bool stale_stream_ = false;  ///< it streams for a host that is gone
  std::int64_t heard_ns_ = 0;
  bool connected_before_ = false;
  std::int64_t open_again_ns_ = 0;
  bool away_ = false;             ///< dropped, and not identified again since
  std::int64_t answered_ns_ = 0;  ///< when the last message came

  // the request under way
  Ask asked_ = Ask::kNothing;
  std::uint16_t request_number_ = 0;
  int attempts_ = 0;
  std::int64_t ask_again_ns_ = 0;

  // pings
  int burst_left_ = 0;
  std::int64_t burst_ends_ns_ = 0;
  std::int64_t next_ping_ns_ = 0;
  bool final_burst_ = false;

  // batches
  MissingBatches missing_;
  std::int64_t missed_up_to_ = 0;  ///< what is not there below is known to be missing
  std::optional<std::int64_t> next_delivery_;
  bool gap_ = false;
  std::size_t epoch_seen_ = 1;
  std::optional<ClockFit> clock_;
  std::optional<firmware_protocol::Status> status_;
  std::uint64_t samples_ = 0;
  std::optional<double> first_s_;
  double newest_s_ = 0.0;
};

}  // namespace strapline::acquisition
