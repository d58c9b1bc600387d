#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include <fcntl.h>
#include <unistd.h>

#include "strapline/acquisition/journal.hpp"
#include "strapline/firmware_protocol/bytes.hpp"
#include "strapline/firmware_protocol/crc32c.hpp"

#include "journal_layout.hpp"

namespace strapline::acquisition {
namespace {

using firmware_protocol::ByteWriter;

std::span<const std::uint8_t> bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

void build_record(std::vector<std::uint8_t>& record, JournalKind kind, std::uint16_t strap,
                  std::int64_t host_ns, std::span<const std::uint8_t> payload) {
  record.resize(kJournalRecordHeader);
  ByteWriter header{std::span<std::uint8_t>(record).subspan(kJournalCheckedFrom)};
  header.u32(static_cast<std::uint32_t>(payload.size()));
  header.u8(static_cast<std::uint8_t>(kind));
  header.u8(0);
  header.u16(strap);
  header.u64(static_cast<std::uint64_t>(host_ns));
  record.insert(record.end(), payload.begin(), payload.end());
  ByteWriter check(record);
  check.u32(
      firmware_protocol::crc32c(std::span<std::uint8_t>(record).subspan(kJournalCheckedFrom)));
}

// A new file is safe only when its directory entry is.
bool sync_directory(const std::string& path) {
  const auto parent = std::filesystem::path(path).parent_path();
  const int directory =
      ::open(parent.empty() ? "." : parent.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (directory < 0) return false;
  const bool synced = ::fsync(directory) == 0;
  ::close(directory);
  return synced;
}

}  // namespace

Result<std::unique_ptr<JournalWriter>> JournalWriter::create(const std::string& path,
                                                             std::string_view metadata,
                                                             std::int64_t origin_host_ns) {
  const int file = ::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (file < 0 && errno == EEXIST) {
    return fail("a journal is already there", path, "recover it or choose another name");
  }
  if (file < 0) return fail(std::string("cannot be created: ") + std::strerror(errno), path);
  std::unique_ptr<JournalWriter> writer(new JournalWriter(path, file, origin_host_ns));
  std::array<std::uint8_t, kJournalFileHeader> header{};
  std::memcpy(header.data(), kJournalMagic.data(), kJournalMagic.size());
  ByteWriter version{std::span<std::uint8_t>(header).subspan(kJournalMagic.size())};
  version.u16(kJournalVersion);
  auto done = writer->write_all(header);
  if (done) {
    done = writer->append(JournalKind::kSession, kNoStrap, origin_host_ns, bytes_of(metadata));
  }
  if (done) done = writer->sync();
  if (!done) return tl::make_unexpected(done.error());
  if (!sync_directory(path)) return writer->failure(errno);
  return writer;
}

JournalWriter::~JournalWriter() {
  if (file_ >= 0) ::close(file_);
}

tl::unexpected<Failure> JournalWriter::failure(int error) const {
  return fail(std::string("cannot be written: ") + std::strerror(error), path_,
              "what was recorded before is kept");
}

Result<void> JournalWriter::write_all(std::span<const std::uint8_t> bytes) {
  if (file_ < 0) return failure(EBADF);
  const auto size = static_cast<std::int64_t>(bytes.size());
  while (!bytes.empty()) {
    const auto written = ::write(file_, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) {
      const int error = errno;
      // Cut the torn record off; should even that fail, readers skip it by its check.
      if (::ftruncate(file_, good_bytes_) == 0) ::lseek(file_, good_bytes_, SEEK_SET);
      return failure(error);
    }
    bytes = bytes.subspan(static_cast<std::size_t>(written));
  }
  good_bytes_ += size;
  return {};
}

Result<void> JournalWriter::append(JournalKind kind, std::uint16_t strap, std::int64_t host_ns,
                                   std::span<const std::uint8_t> payload) {
  if (payload.size() > kMaxJournalPayload) return failure(EMSGSIZE);
  build_record(record_, kind, strap, host_ns, payload);
  return write_all(record_);
}

Result<void> JournalWriter::declare_strap(std::uint16_t strap, std::int64_t host_ns,
                                          std::string_view label, std::string_view address) {
  if (label.size() > UINT16_MAX) return failure(EMSGSIZE);
  std::vector<std::uint8_t> payload(2);
  ByteWriter(payload).u16(static_cast<std::uint16_t>(label.size()));
  payload.insert(payload.end(), label.begin(), label.end());
  payload.insert(payload.end(), address.begin(), address.end());
  return append(JournalKind::kStrap, strap, host_ns, payload);
}

Result<void> JournalWriter::link(std::uint16_t strap, std::int64_t host_ns, LinkEvent event,
                                 std::string_view text) {
  std::vector<std::uint8_t> payload = {static_cast<std::uint8_t>(event)};
  payload.insert(payload.end(), text.begin(), text.end());
  return append(JournalKind::kLink, strap, host_ns, payload);
}

Result<void> JournalWriter::mark(std::int64_t host_ns, std::string_view text) {
  return append(JournalKind::kMark, kNoStrap, host_ns, bytes_of(text));
}

Result<void> JournalWriter::sync() {
  if (file_ < 0) return failure(EBADF);
  if (::fdatasync(file_) != 0) return failure(errno);
  return {};
}

Result<void> JournalWriter::close(std::int64_t host_ns) {
  auto done = append(JournalKind::kEnd, kNoStrap, host_ns, {});
  if (done && ::fsync(file_) != 0) done = failure(errno);
  if (file_ >= 0 && ::close(std::exchange(file_, -1)) != 0 && done) done = failure(errno);
  return done;
}

}  // namespace strapline::acquisition
