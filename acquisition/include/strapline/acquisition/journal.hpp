#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/acquisition/failure.hpp"

/// The append-only record of a session; its bytes are described in JOURNAL.md.
namespace strapline::acquisition {

inline constexpr std::uint16_t kJournalVersion = 1;
inline constexpr std::size_t kMaxJournalPayload = 1U << 20U;
inline constexpr std::uint16_t kNoStrap = 0xFFFF;  ///< strap index of what belongs to none

enum class JournalKind : std::uint8_t {
  kSession = 1,  ///< payload: the caller's metadata; host_ns is the zero of the common time
  kStrap = 2,    ///< declares a strap: u16 length of the label, label, address
  kFrame = 3,    ///< bytes from the strap up to and including a delimiter, as received
  kLink = 4,     ///< u8 LinkEvent, then a text
  kMark = 5,     ///< a text of the caller's: where a part begins or ends
  kEnd = 6,      ///< the session was ended in order
};

enum class LinkEvent : std::uint8_t {
  kOpened = 1,   ///< decoding starts afresh
  kDropped = 2,  ///< the text says why
  kGaveUp = 3,   ///< no further attempt to reconnect
};

/// Writes a journal. Every append goes to the operating system at once, so that a killed process
/// loses nothing; sync() brings it to the disk.
class JournalWriter {
 public:
  /// Creates the file; refuses one that exists. `metadata` is kept as it is (say, JSON with client,
  /// movement and placements), at most 1 MiB.
  [[nodiscard]] static Result<std::unique_ptr<JournalWriter>> create(const std::string& path,
                                                                     std::string_view metadata,
                                                                     std::int64_t origin_host_ns);
  JournalWriter(const JournalWriter&) = delete;
  JournalWriter& operator=(const JournalWriter&) = delete;
  ~JournalWriter();  ///< closes without syncing: call close()

  /// Fails where the disk is full or broken; what was appended before stays whole.
  [[nodiscard]] Result<void> append(JournalKind kind, std::uint16_t strap, std::int64_t host_ns,
                                    std::span<const std::uint8_t> payload);
  [[nodiscard]] Result<void> declare_strap(std::uint16_t strap, std::int64_t host_ns,
                                           std::string_view label, std::string_view address);
  [[nodiscard]] Result<void> link(std::uint16_t strap, std::int64_t host_ns, LinkEvent event,
                                  std::string_view text);
  [[nodiscard]] Result<void> mark(std::int64_t host_ns, std::string_view text);
  [[nodiscard]] Result<void> sync();
  /// Notes the orderly end, syncs and closes.
  [[nodiscard]] Result<void> close(std::int64_t host_ns);

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::int64_t origin_host_ns() const { return origin_host_ns_; }

 private:
  JournalWriter(std::string path, int file, std::int64_t origin_host_ns)
      : path_(std::move(path)), file_(file), origin_host_ns_(origin_host_ns) {}
  [[nodiscard]] Result<void> write_all(std::span<const std::uint8_t> bytes);
  [[nodiscard]] tl::unexpected<Failure> failure(int error) const;

  std::string path_;
  int file_;
  std::int64_t origin_host_ns_;
  std::int64_t good_bytes_ = 0;  ///< length up to the last whole record
  std::vector<std::uint8_t> record_;
};

/// One record; `payload` points into the Journal it came from.
struct JournalRecord {
  JournalKind kind{};  ///< may be one that this version does not know: ignore it
  std::uint16_t strap = kNoStrap;
  std::int64_t host_ns = 0;
  std::span<const std::uint8_t> payload;

  [[nodiscard]] std::string text() const { return {payload.begin(), payload.end()}; }
};

/// What a journal file holds.
struct Journal {
  std::string metadata;
  std::int64_t origin_host_ns = 0;
  std::vector<JournalRecord> records;  ///< after the session's own
  bool ended = false;                  ///< the session was ended in order
  std::size_t torn_bytes = 0;     ///< an unfinished record at the end: where the writer was killed
  std::size_t damaged_bytes = 0;  ///< skipped between whole records
  std::unique_ptr<std::vector<std::uint8_t>> file;  ///< what the records point into
};

/// Reads a journal, finished or not. Fails where the file is missing, no journal, of a later
/// version, or ends before the session's first record is whole.
[[nodiscard]] Result<Journal> read_journal(const std::string& path);
/// The same from bytes in memory; `name` is for messages.
[[nodiscard]] Result<Journal> read_journal(std::vector<std::uint8_t> bytes,
                                           const std::string& name);

/// Payload of a kStrap record.
struct StrapDeclaration {
  std::string label;
  std::string address;
};
[[nodiscard]] Result<StrapDeclaration> parse_strap_declaration(const JournalRecord& record);

}  // namespace strapline::acquisition
