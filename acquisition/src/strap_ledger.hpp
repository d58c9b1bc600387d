#pragma once

#include <functional>
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "strapline/acquisition/journal.hpp"
#include "strapline/acquisition/session_result.hpp"
#include "strapline/firmware_protocol/frame_decoder.hpp"

#include "strap_epoch.hpp"

namespace strapline::acquisition {

/// A batch as the ledger filed it.
struct FiledBatch {
  BatchFiling filing;
  const firmware_protocol::SampleBatch* batch = nullptr;  ///< valid during the call
};

/// What one frame said, after it was filed.
using FiledMessage =
    std::variant<firmware_protocol::Identity, firmware_protocol::Configured,
                 firmware_protocol::Acknowledge, firmware_protocol::Refuse,
                 firmware_protocol::ClockPong, firmware_protocol::Status, FiledBatch>;

/// Everything known of one strap, from its frames alone: the live session and the reading of a
/// journal both feed it, so both come to the same result.
class StrapLedger {
 public:
  using Sink = std::function<void(const FiledMessage&)>;

  explicit StrapLedger(std::int64_t origin_ns) : origin_ns_(origin_ns), epochs_(1) {}

  void link_event(LinkEvent event);
  /// Decodes and files; tells `sink`, if any, of each message.
  void take(std::int64_t host_ns, std::span<const std::uint8_t> bytes, const Sink& sink = {});

  [[nodiscard]] const std::optional<firmware_protocol::Identity>& identity() const {
    return identity_;
  }
  /// The strap that answers is not the one that answered first.
  [[nodiscard]] bool impostor() const { return impostor_; }
  [[nodiscard]] const StrapEpoch& epoch() const { return epochs_.back(); }
  [[nodiscard]] const StrapEpoch& epoch(std::size_t index) const { return epochs_[index]; }
  [[nodiscard]] std::size_t epoch_count() const { return epochs_.size(); }
  [[nodiscard]] LinkStatistics statistics() const;
  [[nodiscard]] std::optional<ClockFit> live_clock() const;
  /// Identity, readings, clock and statistics; label and address are the caller's.
  [[nodiscard]] StrapResult result() const;

 private:
  void decode(const firmware_protocol::Frame& frame, std::int64_t host_ns, const Sink& sink);
  void file(const firmware_protocol::Identity& identity, std::int64_t host_ns);
  void file(const firmware_protocol::Configured& configured, std::int64_t host_ns);
  void file(const firmware_protocol::Acknowledge& acknowledge, std::int64_t host_ns);
  void file(const firmware_protocol::Refuse& refuse, std::int64_t host_ns);
  void file(const firmware_protocol::ClockPong& pong, std::int64_t host_ns);
  void file(const firmware_protocol::Status& status, std::int64_t host_ns);
  [[nodiscard]] BatchFiling file_batch(const firmware_protocol::SampleBatch& batch,
                                       std::int64_t host_ns);
  template <class Message>
  void take_as(const firmware_protocol::Frame& frame, std::int64_t host_ns, const Sink& sink);
  [[nodiscard]] double tick_hz() const;

  std::int64_t origin_ns_;
  firmware_protocol::FrameDecoder decoder_;
  std::optional<firmware_protocol::Identity> identity_;
  firmware_protocol::Rate rate_;
  std::uint16_t settings_check_ = 0;
  bool impostor_ = false;
  std::vector<StrapEpoch> epochs_;
  std::uint64_t links_opened_ = 0;
  std::uint64_t malformed_ = 0;  ///< frames whose check held and whose payload made no sense
  LinkStatistics counted_;       ///< resent, late, duplicates, foreign only
};

}  // namespace strapline::acquisition
