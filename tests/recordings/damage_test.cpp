#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"

#ifdef __SANITIZE_ADDRESS__
#include <sanitizer/lsan_interface.h>
#endif

#include "hdf5/attribute.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "logbook_writer.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::AllOf;
using ::testing::AnyOf;
using testing::Folder;
using ::testing::HasSubstr;
using ::testing::Not;

std::string failure_of(const std::filesystem::path& file) {
  const auto read = read_recording(file);
  return read ? std::string("read") : read.error().line();
}

class Damage : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(write_recording(file_, testing::full_recording())); }

  std::string after(const std::function<void(hid_t)>& change) {
    EXPECT_TRUE(write_recording(file_, testing::full_recording(), Overwrite::yes));
    testing::change_file(file_, change);
    const std::string line = failure_of(file_);
    EXPECT_EQ(line.find('\n'), std::string::npos);
    EXPECT_THAT(line, AnyOf(HasSubstr("set.h5"), "read"));
    return line;
  }

  Folder folder_;
  std::filesystem::path file_ = folder_ / "set.h5";
};

void remove_attribute(hid_t root, const char* object, const char* name) {
  ASSERT_GE(H5Adelete_by_name(root, object, name, H5P_DEFAULT), 0);
}

TEST_F(Damage, FilesThatAreNoRecordingGetOneLine) {
  EXPECT_THAT(failure_of(folder_ / "none.h5"), HasSubstr("none.h5: no such file"));
  EXPECT_THAT(failure_of(folder_.path()), HasSubstr("not a file"));
  testing::put(folder_ / "text.h5", std::string("t,ax,ay,az\n1,2,3,4\n"));
  EXPECT_THAT(failure_of(folder_ / "text.h5"), HasSubstr("text.h5: not an HDF5 file"));
  testing::put(folder_ / "empty.h5", std::string());
  EXPECT_THAT(failure_of(folder_ / "empty.h5"), HasSubstr("the file is empty"));
  h5::Image other = h5::Image::create();
  testing::put(folder_ / "other.h5", other.finish());
  EXPECT_THAT(failure_of(folder_ / "other.h5"), HasSubstr("an HDF5 file, but not a recording"));
}

TEST_F(Damage, OtherFormatsAndNewerSchemasAreNamed) {
  EXPECT_THAT(after([](hid_t root) {
                remove_attribute(root, ".", "schema_major");
                h5::set_integer(root, "schema_major", 2);
              }),
              HasSubstr("written in schema 2.7, newer than this program reads (1.x)"));
  EXPECT_THAT(after([](hid_t root) {
                remove_attribute(root, ".", "format");
                h5::set_text(root, "format", "strapline-logbook");
              }),
              HasSubstr("not a recording (it says strapline-logbook)"));
  // Additions do no harm.
  EXPECT_EQ(after([](hid_t root) {
              remove_attribute(root, ".", "schema_minor");
              h5::set_integer(root, "schema_minor", 9);
              h5::set_text(root, "x_colour", "amber");
              static_cast<void>(h5::create_group(root, "straps/left_thigh/x_extra"));
            }).substr(0, 4),
            "read");
}

TEST_F(Damage, WhatIsMissingIsNamed) {
  for (const char* name : {"counts", "tick", "time"}) {
    EXPECT_THAT(
        after([&](hid_t root) {
          h5::remove_child(h5::open_group(root, "straps/left_thigh").get(), name);
        }),
        HasSubstr(std::string("/straps/left_thigh/") + name + ": this data set is missing"));
  }
  EXPECT_THAT(after([](hid_t root) { h5::remove_child(root, "set"); }),
              HasSubstr("/set: this group is missing"));
  EXPECT_THAT(after([](hid_t root) { remove_attribute(root, "set", "client"); }),
              HasSubstr("/set: the attribute client is missing"));
  EXPECT_THAT(after([](hid_t root) { remove_attribute(root, "straps/chest", "rate_hz"); }),
              HasSubstr("/straps/chest: the attribute rate_hz is missing"));
  EXPECT_THAT(after([](hid_t root) { remove_attribute(root, "straps/chest/time", "unit"); }),
              HasSubstr("/straps/chest/time: the attribute unit is missing"));
  EXPECT_THAT(after([](hid_t root) {
                h5::remove_child(root, "straps");
                static_cast<void>(h5::create_group(root, "straps"));
              }),
              HasSubstr("/straps: holds no strap"));
}

TEST_F(Damage, WhatDoesNotFitIsNamed) {
  const auto replace = [](hid_t root, const char* name, const std::vector<double>& values,
                          const char* unit) {
    const h5::Handle strap = h5::open_group(root, "straps/chest");
    h5::remove_child(strap.get(), name);
    h5::write_column<double>(strap.get(), name, values, {unit});
  };
  EXPECT_THAT(after([&](hid_t root) {
                replace(root, "time", {1, 2, 3}, "s");
              }),
              HasSubstr("/straps/chest: counts has 97 rows, tick 97, time 3"));
  EXPECT_THAT(after([&](hid_t root) {
                replace(root, "time", {1, 2, 3}, "ms");
              }),
              HasSubstr("is in \"ms\", not in \"s\""));
  EXPECT_THAT(after([&](hid_t root) {
                replace(root, "tick", {1, 2, 3}, "tick");
              }),
              HasSubstr("/straps/chest/tick: does not hold whole numbers"));
  EXPECT_THAT(after([&](hid_t root) {
                replace(root, "counts", {1, 2, 3}, "count");
              }),
              HasSubstr("/straps/chest/counts: does not hold whole numbers"));
  EXPECT_THAT(after([](hid_t root) {
                const h5::Handle strap = h5::open_group(root, "straps/chest");
                h5::remove_child(strap.get(), "counts");
                const std::vector<std::int32_t> wide(6 * 97);
                h5::write_table(strap.get(), "counts", wide, 97, {"count"});
              }),
              HasSubstr("/straps/chest/counts: has 97 columns, not 6"));
  EXPECT_THAT(after([](hid_t root) {
                remove_attribute(root, "straps/chest", "placement");
                h5::set_text(h5::open_group(root, "straps/chest").get(), "placement", "tail");
              }),
              HasSubstr("unknown placement \"tail\""));
}

TEST_F(Damage, ADamagedChunkFailsItsChecksum) {
  haddr_t place = 0;
  testing::change_file(file_, [&](hid_t root) {
    const h5::Handle data = h5::open_data(h5::open_group(root, "straps/chest").get(), "counts");
    const hsize_t first[2] = {0, 0};
    hsize_t size = 0;
    unsigned mask = 0;
    ASSERT_GE(H5Dget_chunk_info_by_coord(data.get(), first, &mask, &place, &size), 0);
  });
  h5::Bytes bytes = testing::bytes_of(file_);
  bytes[place + 20] ^= std::byte{0x10};
  testing::put(file_, bytes);
  EXPECT_THAT(failure_of(file_), AllOf(HasSubstr("/straps/chest/counts: the data is damaged"),
                                       HasSubstr("Fletcher32 checksum")));
}

// Every shorter file must fail in one line; that is every offset of a file of some 20 kB.
TEST_F(Damage, EveryTruncationIsNoticed) {
  const h5::Bytes whole = testing::bytes_of(file_);
  ASSERT_GT(whole.size(), 5000U);
  const auto cut_file = folder_ / "cut.h5";
  int said_cut_short = 0;
  for (std::size_t size = 0; size < whole.size(); ++size) {
    testing::put(cut_file,
                 h5::Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size)));
    const std::string line = failure_of(cut_file);
    ASSERT_THAT(line, AllOf(HasSubstr("cut.h5: "), Not(HasSubstr("\n")))) << size;
    if (line.find("cut short: " + std::to_string(size) + " of ") != std::string::npos)
      ++said_cut_short;
  }
  EXPECT_GE(said_cut_short, static_cast<int>(whole.size()) - 60);
}

// HDF5 1.10.8 leaks some 280 bytes of its own whenever it refuses damaged metadata; nothing that we
// could free. Only the test that provokes it by the thousand looks away.
#ifdef __SANITIZE_ADDRESS__
using LeaksOfHdf5 = __lsan::ScopedDisabler;
#else
struct LeaksOfHdf5 {};
#endif

// From the set-up on: HDF5 recycles its blocks, and leaks ones that it took for the first file.
class FlippedBits : public Damage {
  [[maybe_unused]] LeaksOfHdf5 ignored_;
};

// One flipped bit anywhere either changes nothing that is read or is noticed: never a silently
// wrong recording. A prime step over the offsets, another bit each time.
TEST_F(FlippedBits, NeverGiveAnotherRecording) {
  const h5::Bytes whole = testing::bytes_of(file_);
  const Recording original = testing::full_recording();
  const auto bad_file = folder_ / "bad.h5";
  int noticed = 0;
  int harmless = 0;
  for (std::size_t at = 0; at < whole.size(); at += 3) {
    h5::Bytes bad = whole;
    bad[at] ^= std::byte{1} << static_cast<int>(at % 8);
    testing::put(bad_file, bad);
    const auto read = read_recording(bad_file);
    ASSERT_TRUE(!read || testing::same(*read, original)) << "byte " << at;
    ++(read ? harmless : noticed);
  }
  RecordProperty("noticed", noticed);
  RecordProperty("harmless", harmless);
  EXPECT_GT(noticed, harmless);
}

// The same of a logbook, whose file is read where it lies: in the place of the damaged one before.
TEST_F(FlippedBits, NeverGiveAnotherLogbook) {
  const auto file = folder_ / "book.h5";
  LoggedSet set = make_logged_set(testing::full_recording(), "a.h5", testing::sample_analysis());
  ASSERT_TRUE(append_to_logbook(file, set));
  set.set_id = "another";
  ASSERT_TRUE(append_to_logbook(file, set));
  const h5::Bytes whole = testing::bytes_of(file);
  const h5::Bytes original = logbook_bytes(*read_logbook(file));
  int noticed = 0;
  for (std::size_t at = 0; at < whole.size(); at += 13) {
    h5::Bytes bad = whole;
    bad[at] ^= std::byte{1} << static_cast<int>(at % 8);
    testing::put(file, bad);
    const auto read = read_logbook(file);
    ASSERT_TRUE(!read || logbook_bytes(*read) == original) << "byte " << at;
    if (!read) ++noticed;
  }
  EXPECT_GT(noticed, 500);
  // Nothing of the damaged ones lingers behind the sound one in their place.
  testing::put(file, whole);
  const auto read = read_logbook(file);
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_TRUE(logbook_bytes(*read) == original);
}

}  // namespace
}  // namespace strapline::recordings
