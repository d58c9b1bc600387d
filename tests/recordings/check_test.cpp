#include "strapline/recordings/check.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/results.hpp"

#include "hdf5/group.hpp"
#include "sample.hpp"

namespace strapline::recordings {

void PrintTo(const Finding& finding, std::ostream* out) {
  *out << static_cast<int>(finding.severity) << ' ' << finding.text;
}

namespace {

using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Each;
using ::testing::Field;
using ::testing::HasSubstr;
using ::testing::Not;

auto finding(Severity severity, const std::string& text) {
  return AllOf(Field(&Finding::severity, severity), Field(&Finding::text, HasSubstr(text)));
}

std::vector<Finding> checked(const Recording& recording) {
  const testing::Folder folder;
  EXPECT_TRUE(write_recording(folder / "a.h5", recording));
  return check_recording(folder / "a.h5");
}

Recording healthy() {
  Recording recording = testing::full_recording();
  recording.straps[0].link = {};
  return recording;
}

TEST(Check, FindsNothingWrongInAGoodRecording) {
  const auto findings = checked(healthy());
  EXPECT_THAT(findings, Each(Field(&Finding::severity, Severity::note)));
  EXPECT_THAT(findings,
              Contains(finding(Severity::note, "left_thigh: 213 samples in 2.04 s, 104 Hz")));
  EXPECT_THAT(findings, Contains(finding(Severity::note, "recording of winch operator, squat")));
}

TEST(Check, NamesLossesPerStrap) {
  Recording recording = healthy();
  recording.straps[0].t.tail(100).array() += 0.5;
  recording.straps[1].counts.row(4).head(20).setConstant(-32768);
  recording.straps[1].link.lost = 3;
  recording.straps[1].rate_hz = 60.0;
  const auto findings = checked(recording);
  EXPECT_THAT(findings,
              Contains(finding(Severity::loss, "left_thigh: 1 gaps, the longest 0.510 s")));
  EXPECT_THAT(findings,
              Contains(finding(Severity::loss, "left_thigh: the times stray up to 500.0 ms")));
  EXPECT_THAT(findings, Contains(finding(Severity::loss, "chest: 20.6 % of the samples")));
  EXPECT_THAT(findings, Contains(finding(Severity::loss, "chest: 3 batches lost")));
  EXPECT_THAT(findings, Contains(finding(Severity::loss, "50.03 Hz, but the strap states 60 Hz")));
}

TEST(Check, NamesWhatIsEnteredWronglyAndWhatIsMissing) {
  Recording recording = healthy();
  recording.description.load_kg = -5.0;
  recording.straps[1].t[3] = recording.straps[1].t[1];
  recording.straps[1].t.array() += 100.0;
  recording.parts = {};
  const auto findings = checked(recording);
  EXPECT_THAT(findings, Contains(finding(Severity::loss, "load: -5 kg")));
  EXPECT_THAT(findings,
              Contains(finding(Severity::loss, "chest: the time does not increase at sample 4")));
  EXPECT_THAT(findings, Contains(finding(Severity::loss, "the straps share no stretch of time")));
  EXPECT_THAT(findings, Contains(finding(Severity::note, "no still part")));
  EXPECT_THAT(findings, Contains(finding(Severity::note, "no align part")));
}

TEST(Check, ADamagedStrapDoesNotHideTheOthers) {
  const testing::Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", healthy()));
  testing::change_file(folder / "a.h5", [](hid_t root) {
    h5::remove_child(h5::open_group(root, "straps/left_thigh").get(), "time");
  });
  const auto findings = check_recording(folder / "a.h5");
  EXPECT_THAT(findings, Contains(finding(Severity::fault,
                                         "/straps/left_thigh/time: this data set is missing")));
  EXPECT_THAT(findings, Contains(finding(Severity::note, "chest: 97 samples")));
}

TEST(Check, SaysWhetherThereAreResults) {
  const testing::Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", healthy()));
  ASSERT_TRUE(write_results(folder / "a.h5", testing::sample_analysis()));
  EXPECT_THAT(check_recording(folder / "a.h5"),
              Contains(finding(Severity::note, "results of squat 0.1")));
  testing::change_file(folder / "a.h5", [](hid_t root) {
    h5::remove_child(h5::open_group(root, "results").get(), "time");
  });
  EXPECT_THAT(check_recording(folder / "a.h5"), Contains(finding(Severity::loss, "/results/time")));
}

TEST(Check, IsOneFaultWhereTheFileIsNone) {
  const auto findings = check_recording("no_such_file.h5");
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_THAT(findings[0], finding(Severity::fault, "no_such_file.h5: no such file"));
}

}  // namespace
}  // namespace strapline::recordings
