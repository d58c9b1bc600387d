#include <cmath>
#include <csignal>
#include <limits>

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <unistd.h>

#include "strapline/recordings/recording_file.hpp"

#include "hdf5/attribute.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

TEST(ToSeries, ScalesAndFlagsSamples) {
  StrapRecord strap = testing::bare_recording().straps[0];
  strap.full_scale_count = 100;
  strap.acc_scale = 0.5;
  strap.gyr_scale = 0.25;
  strap.counts.setZero();
  strap.counts.col(2) << 1, 2, 3, 4, 5, 6;
  strap.counts(1, 3) = -100;
  strap.counts(3, 4) = 100;
  strap.counts(0, 5) = 99;
  strap.counts(5, 6) = std::numeric_limits<std::int32_t>::min();
  strap.t.tail(3).array() += 0.03;  // at 25 Hz: a step of 1.75 periods

  const dsp::StrapSeries series = to_series(strap);
  EXPECT_EQ(series.data.acc.col(2), Eigen::Vector3d(0.5, 1.0, 1.5));
  EXPECT_EQ(series.data.gyr.col(2), Eigen::Vector3d(1.0, 1.25, 1.5));
  EXPECT_EQ(series.data.t, strap.t);
  EXPECT_EQ(series.placement, strap.placement);
  std::vector<std::uint8_t> flags(11, dsp::kSampleGood);
  flags[3] = dsp::kAccelerometerSaturated;
  flags[4] = dsp::kGyroscopeSaturated;
  flags[6] = dsp::kGyroscopeSaturated;
  flags[8] = dsp::kAfterGap;
  EXPECT_EQ(series.data.flags, flags);

  strap.full_scale_count = 0;  // unknown: nothing is called saturated
  EXPECT_EQ(to_series(strap).data.flags[3], dsp::kSampleGood);
}

TEST(RecordingFile, RoundTripKeepsEverything) {
  const Folder folder;
  for (const Recording& recording : {testing::full_recording(), testing::bare_recording()}) {
    const auto file = folder / (recording.source + ".h5");
    const auto written = write_recording(file, recording);
    ASSERT_TRUE(written) << written.error().line();
    const auto read = read_recording(file);
    ASSERT_TRUE(read) << read.error().line();
    testing::expect_equal(recording, *read);
  }
  EXPECT_THAT(folder.names(), ElementsAre("imported.h5", "synthetic.h5"));
}

TEST(RecordingFile, EqualContentGivesEqualBytes) {
  const Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", testing::full_recording()));
  ASSERT_TRUE(write_recording(folder / "b.h5", testing::full_recording()));
  EXPECT_EQ(testing::bytes_of(folder / "a.h5"), testing::bytes_of(folder / "b.h5"));
}

TEST(RecordingFile, HoldsLongTextsAndManyStraps) {
  const Folder folder;
  Recording recording = testing::bare_recording();
  recording.description.notes = std::string(200'000, 'n') + "end";
  recording.straps.resize(12, recording.straps[0]);  // all `other`
  for (std::size_t i = 0; i < 12; ++i) recording.straps[i].device_id = 100 - i;
  ASSERT_TRUE(write_recording(folder / "long.h5", recording));
  const auto read = read_recording(folder / "long.h5");
  ASSERT_TRUE(read) << read.error().line();
  testing::expect_equal(recording, *read);
}

TEST(RecordingFile, KeepsAStrapWithoutSamples) {
  const Folder folder;
  Recording recording = testing::full_recording();
  recording.straps[1].counts.resize(6, 0);
  recording.straps[1].tick.clear();
  recording.straps[1].t.resize(0);
  ASSERT_TRUE(write_recording(folder / "silent.h5", recording));
  const auto read = read_recording(folder / "silent.h5");
  ASSERT_TRUE(read) << read.error().line();
  testing::expect_equal(recording, *read);
}

TEST(RecordingFile, UnsetMeansAbsentAndZeroMeansZero) {
  const Folder folder;
  Recording recording = testing::bare_recording();
  recording.description.pain = 0.0;
  ASSERT_TRUE(write_recording(folder / "a.h5", recording));
  testing::change_file(folder / "a.h5", [](hid_t root) {
    EXPECT_THAT(h5::attribute_names(h5::open_group(root, "set").get()),
                ElementsAre("client", "movement", "pain_0_to_10"));
    EXPECT_THAT(h5::attribute_names(h5::open_group(root, "body").get()), IsEmpty());
    EXPECT_THAT(h5::attribute_names(h5::open_group(root, "parts").get()), IsEmpty());
    const h5::Handle strap = h5::open_group(root, "straps/other");
    EXPECT_FALSE(h5::has_child(strap.get(), "clock"));
    EXPECT_FALSE(h5::find_integer(strap.get(), "device_id"));
  });
  EXPECT_EQ(read_recording(folder / "a.h5")->description.pain, 0.0);
}

TEST(RecordingFile, RefusesToReplaceUnlessTold) {
  const Folder folder;
  testing::put(folder / "a.h5", std::string("precious"));
  const auto refused = write_recording(folder / "a.h5", testing::bare_recording());
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().line(), HasSubstr("a.h5: the file exists already"));
  EXPECT_EQ(testing::bytes_of(folder / "a.h5").size(), 8U);
  EXPECT_THAT(folder.names(), ElementsAre("a.h5"));
  EXPECT_TRUE(write_recording(folder / "a.h5", testing::bare_recording(), Overwrite::yes));
  EXPECT_TRUE(read_recording(folder / "a.h5"));
}

TEST(RecordingFile, RefusesWhatCannotBeReadBack) {
  const Folder folder;
  const auto refusal = [&](auto change) {
    Recording recording = testing::full_recording();
    change(recording);
    const auto written = write_recording(folder / "a.h5", recording);
    return written ? std::string("written") : written.error().line();
  };
  EXPECT_THAT(refusal([](Recording& r) { r.description.client.clear(); }), HasSubstr("client"));
  EXPECT_THAT(refusal([](Recording& r) { r.straps.clear(); }), HasSubstr("no strap"));
  EXPECT_THAT(refusal([](Recording& r) { r.straps[1].tick.pop_back(); }),
              HasSubstr("chest: has 97 samples, 97 times and 96 ticks"));
  EXPECT_THAT(refusal([](Recording& r) { r.straps[0].acc_scale = 0.0; }), HasSubstr("scale"));
  EXPECT_THAT(refusal([](Recording& r) { r.straps[0].rate_hz = NAN; }), HasSubstr("rate"));
  EXPECT_THAT(folder.names(), IsEmpty());
}

TEST(RecordingFile, NamesTheFolderThatIsMissing) {
  const Folder folder;
  const auto written = write_recording(folder / "no/such/a.h5", testing::bare_recording());
  ASSERT_FALSE(written);
  EXPECT_THAT(written.error().line(), HasSubstr("no/such/a.h5: cannot create the file"));
}

// A file size limit stands in for a full disk.
TEST(RecordingFile, FullDiskLeavesNothingBehind) {
  const Folder folder;
  ASSERT_TRUE(write_recording(folder / "old.h5", testing::bare_recording()));
  const auto before = testing::bytes_of(folder / "old.h5");
  rlimit old_limit{};
  ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &old_limit), 0);
  const auto old_handler = std::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{4096, old_limit.rlim_max};
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &small), 0);
  const auto fresh = write_recording(folder / "new.h5", testing::full_recording());
  const auto replaced =
      write_recording(folder / "old.h5", testing::full_recording(), Overwrite::yes);
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &old_limit), 0);
  std::signal(SIGXFSZ, old_handler);

  ASSERT_FALSE(fresh);
  EXPECT_THAT(fresh.error().line(), HasSubstr("new.h5: cannot write the file"));
  ASSERT_FALSE(replaced);
  EXPECT_EQ(testing::bytes_of(folder / "old.h5"), before);
  EXPECT_THAT(folder.names(), ElementsAre("old.h5"));
}

TEST(RecordingFile, LeftoverOfAKilledProgramDoesNoHarm) {
  const Folder folder;
  testing::put(folder / "a.h5.part", std::string(100'000, 'x'));
  ASSERT_TRUE(write_recording(folder / "a.h5", testing::full_recording()));
  EXPECT_TRUE(read_recording(folder / "a.h5"));
  EXPECT_THAT(folder.names(), ElementsAre("a.h5"));
}

TEST(RecordingFile, TwoWritersDoNotShareATemporaryFile) {
  const Folder folder;
  testing::put(folder / "a.h5.part", std::string("another program's bytes"));
  const int other = open((folder / "a.h5.part").c_str(), O_WRONLY);
  ASSERT_EQ(flock(other, LOCK_EX), 0);
  const auto written = write_recording(folder / "a.h5", testing::full_recording());
  ASSERT_FALSE(written);
  EXPECT_THAT(written.error().line(), HasSubstr("another program is writing this file"));
  EXPECT_EQ(testing::bytes_of(folder / "a.h5.part").size(), 23U);
  close(other);
}

}  // namespace
}  // namespace strapline::recordings
