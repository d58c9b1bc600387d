#include "strapline/acquisition/journal.hpp"

#include <csignal>
#include <fstream>
#include <iterator>

#include <sys/resource.h>
#include <sys/wait.h>

#include "session_fixture.hpp"

namespace strapline::acquisition::testing {
namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes file_bytes(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// A small journal with every kind of record.
void write_example(const std::string& path, bool close = true) {
  auto journal = JournalWriter::create(path, "{\"client\":\"medic\"}", 1000);
  ASSERT_TRUE(journal) << journal.error().line();
  ASSERT_TRUE((*journal)->declare_strap(0, 1001, "left_thigh", "/dev/ttyACM0"));
  ASSERT_TRUE((*journal)->link(0, 1002, LinkEvent::kOpened, ""));
  for (std::uint8_t i = 0; i < 5; ++i) {
    const Bytes frame(10U + i, i);
    ASSERT_TRUE((*journal)->append(JournalKind::kFrame, 0, 1003 + i, frame));
  }
  ASSERT_TRUE((*journal)->mark(1010, "set begins"));
  if (close) {
    ASSERT_TRUE((*journal)->close(1011));
  }
}

TEST(Journal, GivesBackWhatWasWritten) {
  TemporaryPath path;
  write_example(path.text());
  const auto journal = read_journal(path.text());
  ASSERT_TRUE(journal) << journal.error().line();
  EXPECT_EQ(journal->metadata, "{\"client\":\"medic\"}");
  EXPECT_EQ(journal->origin_host_ns, 1000);
  EXPECT_TRUE(journal->ended);
  EXPECT_EQ(journal->torn_bytes, 0U);
  EXPECT_EQ(journal->damaged_bytes, 0U);
  ASSERT_EQ(journal->records.size(), 9U);
  const auto strap = parse_strap_declaration(journal->records[0]);
  EXPECT_EQ(strap->label, "left_thigh");
  EXPECT_EQ(strap->address, "/dev/ttyACM0");
  EXPECT_EQ(journal->records[6].host_ns, 1007);
  EXPECT_EQ(Bytes(journal->records[6].payload.begin(), journal->records[6].payload.end()),
            Bytes(14, 4));
  EXPECT_EQ(journal->records[7].text(), "set begins");
}

// The example of JOURNAL.md. Its check comes from a bit-by-bit CRC-32C in Python that was itself
// checked with "123456789" → E3069283 (RFC 3720 B.4's polynomial).
TEST(Journal, BytesAreThoseOfTheFormatDocument) {
  TemporaryPath path;
  ASSERT_TRUE(JournalWriter::create(path.text(), "hi", 258));
  const Bytes expected = {0x8A, 'S',  'L',  'J',  0x0D, 0x0A, 0x1A, 0x0A, 0x01, 0x00, 0x00, 0x00,
                          0x0B, 0x2D, 0xCB, 0x4A, 0x02, 0x00, 0x00, 0x00, 0x01, 0x00, 0xFF, 0xFF,
                          0x02, 0x01, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 'h',  'i'};
  EXPECT_EQ(file_bytes(path.text()), expected);
}

TEST(Journal, CutAtEveryByteGivesTheWholeRecordsBefore) {
  TemporaryPath path;
  write_example(path.text());
  const Bytes whole = file_bytes(path.text());
  const auto complete = read_journal(whole, "whole");
  ASSERT_TRUE(complete);
  std::size_t last_count = 0;
  for (std::size_t size = 0; size < whole.size(); ++size) {
    const auto cut = read_journal(
        Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size)), "cut");
    if (size < 12U + 20U + 18U) {  // file header, and the session's record
      ASSERT_FALSE(cut);
      EXPECT_TRUE(cut.error().what == "the journal ends in its header" ||
                  cut.error().what == "the journal ends before the session began");
      continue;
    }
    ASSERT_TRUE(cut) << size;
    EXPECT_FALSE(cut->ended);
    EXPECT_EQ(cut->damaged_bytes, 0U) << "a torn tail is not damage";
    ASSERT_GE(cut->records.size(), last_count);
    std::size_t used = 12U + 20U + 18U;
    for (std::size_t i = 0; i < cut->records.size(); ++i) {
      ASSERT_EQ(cut->records[i].text(), complete->records[i].text());
      used += 20U + cut->records[i].payload.size();
    }
    EXPECT_EQ(used + cut->torn_bytes, size);
    last_count = cut->records.size();
  }
  EXPECT_EQ(last_count, complete->records.size() - 1);
}

TEST(Journal, AnyByteDamagedCostsOneRecordOnly) {
  TemporaryPath path;
  write_example(path.text());
  const Bytes whole = file_bytes(path.text());
  const std::size_t records = read_journal(whole, "whole")->records.size();
  for (std::size_t at = 12U + 20U + 18U; at < whole.size() - 20U; ++at) {
    Bytes damaged = whole;
    damaged[at] ^= 0x40U;
    const auto journal = read_journal(damaged, "damaged");
    ASSERT_TRUE(journal);
    EXPECT_EQ(journal->records.size(), records - 1);
    EXPECT_GE(journal->damaged_bytes, 20U);
    EXPECT_TRUE(journal->ended);
  }
}

TEST(Journal, SaysWhatIsNotAJournal) {
  TemporaryPath path;
  EXPECT_EQ(read_journal(path.text()).error().line(),
            path.text() + ": No such file or directory; check the journal's name");
  EXPECT_EQ(read_journal(Bytes(200, 'x'), "photo.jpg").error().line(),
            "photo.jpg: this is not a journal");
  write_example(path.text());
  Bytes later = file_bytes(path.text());
  later[8] = 2;
  EXPECT_EQ(
      read_journal(later, "later").error().line(),
      "later: the journal has format version 2; read it with a later version of this program");
}

TEST(Journal, NeverWritesOverAnother) {
  TemporaryPath path;
  write_example(path.text());
  const Bytes before = file_bytes(path.text());
  const auto second = JournalWriter::create(path.text(), "", 0);
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().line(),
            path.text() + ": a journal is already there; recover it or choose another name");
  EXPECT_EQ(file_bytes(path.text()), before);
  EXPECT_EQ(JournalWriter::create("/no/such/folder/j", "", 0).error().line(),
            "/no/such/folder/j: cannot be created: No such file or directory");
}

/// Makes the disk look full at `bytes` of any file of this process.
class FullDisk {
 public:
  explicit FullDisk(rlim_t bytes) : handler_(std::signal(SIGXFSZ, SIG_IGN)) {
    ::getrlimit(RLIMIT_FSIZE, &before_);
    const rlimit limit{bytes, before_.rlim_max};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  ~FullDisk() {
    ::setrlimit(RLIMIT_FSIZE, &before_);
    std::signal(SIGXFSZ, handler_);
  }
  FullDisk(const FullDisk&) = delete;
  FullDisk& operator=(const FullDisk&) = delete;

 private:
  rlimit before_{};
  void (*handler_)(int);
};

TEST(Journal, AFullDiskIsReportedAndWhatWasWrittenStaysWhole) {
  TemporaryPath path;
  auto journal = JournalWriter::create(path.text(), "", 0);
  ASSERT_TRUE(journal);
  std::size_t written = 0;
  {
    const FullDisk full(1000);
    Result<void> done;
    while ((done = (*journal)->append(JournalKind::kFrame, 0, 1, Bytes(64, 7)))) ++written;
    EXPECT_EQ(done.error().line(), path.text() +
                                       ": cannot be written: File too large; what was recorded "
                                       "before is kept");
  }
  const auto read = read_journal(path.text());
  ASSERT_TRUE(read);
  EXPECT_EQ(read->records.size(), written);
  EXPECT_EQ(read->torn_bytes, 0U);
  // Space again: it goes on.
  ASSERT_TRUE((*journal)->append(JournalKind::kFrame, 0, 2, Bytes(64, 8)));
  ASSERT_TRUE((*journal)->close(3));
  EXPECT_EQ(read_journal(path.text())->records.size(), written + 2);
}

TEST(Journal, AKilledWriterLosesNothingItAppended) {
  TemporaryPath path;
  int pipe_ends[2];
  ASSERT_EQ(::pipe(pipe_ends), 0);
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    auto journal = JournalWriter::create(path.text(), "", 0);
    for (std::uint32_t i = 0; journal; ++i) {
      const Bytes frame(40, static_cast<std::uint8_t>(i));
      if (!(*journal)->append(JournalKind::kFrame, 0, i, frame)) break;
      if (::write(pipe_ends[1], &i, sizeof i) != sizeof i) break;
    }
    ::_exit(1);
  }
  std::uint32_t acknowledged = 0;
  while (acknowledged < 5000) {
    ASSERT_EQ(::read(pipe_ends[0], &acknowledged, sizeof acknowledged), 4);
  }
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  ::close(pipe_ends[0]);
  ::close(pipe_ends[1]);
  const auto journal = read_journal(path.text());
  ASSERT_TRUE(journal) << journal.error().line();
  ASSERT_GT(journal->records.size(), acknowledged);
  for (std::size_t i = 0; i < journal->records.size(); ++i) {
    ASSERT_EQ(journal->records[i].host_ns, static_cast<std::int64_t>(i));
  }
  EXPECT_FALSE(journal->ended);
  EXPECT_EQ(journal->damaged_bytes, 0U);
}

// The journal of a session, cut anywhere: the readings are a beginning of what the straps took.
TEST_F(SessionTest, AJournalCutAnywhereGivesABeginningOfTheReadings) {
  add_strap(1);
  add_strap(2);
  const auto complete = record(3.0);
  ASSERT_TRUE(complete);
  const Bytes whole = file_bytes(path.text());
  std::size_t most = 0;
  for (std::size_t size = 200; size < whole.size(); size += 7) {
    const auto part = read_journal(
        Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size)), "cut");
    ASSERT_TRUE(part);
    const SessionResult result = assemble(*part);
    EXPECT_FALSE(result.ended);
    for (std::size_t i = 0; i < result.straps.size(); ++i) {
      const auto& counts = result.straps[i].counts;
      ASSERT_LE(counts.size(), straps[i]->readings().size());
      for (std::size_t k = 0; k < counts.size(); ++k) {
        ASSERT_EQ(counts[k], straps[i]->readings()[k].counts);
      }
      if (!counts.empty()) {
        ASSERT_GT(result.straps[i].clock.seconds_per_tick, 0.0);
      }
      most = std::max(most, counts.size());
    }
  }
  EXPECT_GT(most, 300U);
}

TEST_F(SessionTest, AFullDiskStopsTheSessionWithOneLineAndKeepsWhatIsThere) {
  add_strap(1);
  make_session();
  ASSERT_TRUE(open());
  session->start();
  loop.run_for(5.0);
  const std::size_t before = file_bytes(path.text()).size();
  {
    const FullDisk full(before + 2000);
    loop.run_for(5.0);
  }
  ASSERT_EQ(notes.failures.size(), 1U);
  const auto result = stop();
  ASSERT_FALSE(result);
  EXPECT_EQ(result.error().line(), notes.failures[0].line());
  const auto kept = assemble_from_journal(path.text());
  ASSERT_TRUE(kept);
  EXPECT_GT(kept->straps[0].counts.size(), 450U);
}

}  // namespace
}  // namespace strapline::acquisition::testing
