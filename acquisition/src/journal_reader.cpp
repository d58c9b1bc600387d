#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <optional>

#include "strapline/acquisition/journal.hpp"
#include "strapline/firmware_protocol/bytes.hpp"
#include "strapline/firmware_protocol/crc32c.hpp"

#include "journal_layout.hpp"

namespace strapline::acquisition {
namespace {

using Bytes = std::span<const std::uint8_t>;
using firmware_protocol::ByteReader;

// The record that begins at `bytes`, if it is whole and its check holds.
std::optional<JournalRecord> whole_record(Bytes bytes) {
  if (bytes.size() < kJournalRecordHeader) return std::nullopt;
  ByteReader reader(bytes);
  const std::uint32_t check = reader.u32();
  const std::size_t length = reader.u32();
  if (length > kMaxJournalPayload || length > bytes.size() - kJournalRecordHeader) {
    return std::nullopt;
  }
  const Bytes checked =
      bytes.subspan(kJournalCheckedFrom, kJournalRecordHeader - kJournalCheckedFrom + length);
  if (firmware_protocol::crc32c(checked) != check) return std::nullopt;
  JournalRecord record;
  record.kind = static_cast<JournalKind>(reader.u8());
  (void)reader.u8();
  record.strap = reader.u16();
  record.host_ns = static_cast<std::int64_t>(reader.u64());
  record.payload = bytes.subspan(kJournalRecordHeader, length);
  return record;
}

// After damage the length field is worth nothing: tries every byte.
std::size_t next_whole_record(Bytes bytes, std::size_t from) {
  while (from < bytes.size() && !whole_record(bytes.subspan(from))) ++from;
  return from;
}

void read_records(Bytes bytes, std::size_t at, Journal& journal) {
  while (at < bytes.size()) {
    if (const auto record = whole_record(bytes.subspan(at))) {
      journal.ended = record->kind == JournalKind::kEnd;
      journal.records.push_back(*record);
      at += kJournalRecordHeader + record->payload.size();
      continue;
    }
    const std::size_t next = next_whole_record(bytes, at + 1);
    (next == bytes.size() ? journal.torn_bytes : journal.damaged_bytes) += next - at;
    at = next;
  }
}

}  // namespace

Result<Journal> read_journal(std::vector<std::uint8_t> bytes, const std::string& name) {
  Journal journal;
  journal.file = std::make_unique<std::vector<std::uint8_t>>(std::move(bytes));
  const Bytes file = *journal.file;
  const std::size_t magic = std::min(file.size(), kJournalMagic.size());
  if (!std::equal(file.begin(), file.begin() + static_cast<std::ptrdiff_t>(magic),
                  kJournalMagic.begin())) {
    return fail("this is not a journal", name);
  }
  if (file.size() < kJournalFileHeader) return fail("the journal ends in its header", name);
  const std::uint16_t version = ByteReader(file.subspan(kJournalMagic.size())).u16();
  if (version == 0 || version > kJournalVersion) {
    return fail("the journal has format version " + std::to_string(version), name,
                "read it with a later version of this program");
  }
  const auto first = whole_record(file.subspan(kJournalFileHeader));
  if (!first || first->kind != JournalKind::kSession) {
    return fail("the journal ends before the session began", name, "there is nothing to recover");
  }
  journal.metadata = first->text();
  journal.origin_host_ns = first->host_ns;
  read_records(file, kJournalFileHeader + kJournalRecordHeader + first->payload.size(), journal);
  return journal;
}

Result<Journal> read_journal(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) return fail(std::strerror(errno), path, "check the journal's name");
  std::vector<std::uint8_t> bytes{std::istreambuf_iterator<char>(in),
                                  std::istreambuf_iterator<char>()};
  if (in.bad()) return fail("cannot be read", path);
  return read_journal(std::move(bytes), path);
}

Result<StrapDeclaration> parse_strap_declaration(const JournalRecord& record) {
  ByteReader reader(record.payload);
  const std::size_t length = reader.u16();
  if (!reader.ok() || length > reader.remaining()) {
    return fail("a strap's declaration in the journal is too short");
  }
  const std::string text = record.text();
  return StrapDeclaration{text.substr(2, length), text.substr(2 + length)};
}

}  // namespace strapline::acquisition
