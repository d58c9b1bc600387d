#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/results.hpp"

#include "hdf5/attribute.hpp"
#include "hdf5/group.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;

class Description : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(write_recording(file_, testing::full_recording())); }
  Folder folder_;
  std::filesystem::path file_ = folder_ / "set.h5";
  std::filesystem::path logbook_ = folder_ / "logbook.h5";
};

TEST_F(Description, IsRewrittenAndNothingElseIs) {
  ASSERT_TRUE(write_results(file_, testing::sample_analysis()));
  Recording wanted = testing::full_recording();
  wanted.description.effort_rpe = 9.5;
  wanted.description.pain = 3.0;
  wanted.description.pain_place = "left knee, below the cap";
  wanted.description.notes.clear();
  wanted.description.reps_in_reserve.reset();
  wanted.description.load_kg.reset();
  const auto done = rewrite_description(file_, wanted.description);
  ASSERT_TRUE(done) << done.error().line();
  testing::expect_equal(wanted, *read_recording(file_));
  testing::expect_equal(testing::sample_analysis(), *read_results(file_));
  EXPECT_EQ(set_id(*read_recording(file_)), set_id(testing::full_recording()));
  EXPECT_THAT(folder_.names(), ElementsAre("set.h5"));
}

TEST_F(Description, ManyRewritesDoNotLetTheFileGrow) {
  const auto size = std::filesystem::file_size(file_);
  SetDescription description = testing::full_recording().description;
  for (int i = 0; i < 30; ++i) {
    description.notes.assign(static_cast<std::size_t>(10 + 7 * (i % 5)), 'n');
    ASSERT_TRUE(rewrite_description(file_, description));
  }
  EXPECT_EQ(read_recording(file_)->description.notes, description.notes);
  EXPECT_LT(std::filesystem::file_size(file_), 2 * size);
}

TEST_F(Description, KeepsWhatOthersAddedToIt) {
  testing::change_file(file_, [](hid_t root) {
    h5::set_text(h5::open_group(root, "set").get(), "x_mood", "bright");
  });
  ASSERT_TRUE(rewrite_description(file_, testing::full_recording().description));
  testing::change_file(file_, [](hid_t root) {
    EXPECT_EQ(h5::find_text(h5::open_group(root, "set").get(), "x_mood"), "bright");
  });
}

TEST_F(Description, WithoutAClientOrOfAnotherFileIsRefused) {
  const auto before = testing::bytes_of(file_);
  SetDescription nobody = testing::full_recording().description;
  nobody.client.clear();
  EXPECT_THAT(rewrite_description(file_, nobody).error().line(), HasSubstr("the client is not named"));
  EXPECT_EQ(testing::bytes_of(file_), before);
  EXPECT_THAT(rewrite_description(folder_ / "none.h5", testing::full_recording().description)
                  .error()
                  .line(),
              HasSubstr("no such file"));
}

TEST_F(Description, OfALoggedSetIsAmendedAndEqualsAnEntryMadeAfresh) {
  Recording recording = testing::full_recording();
  const auto logged = make_logged_set(recording, file_, testing::sample_analysis());
  ASSERT_TRUE(append_to_logbook(logbook_, logged));
  recording.description.pain = 4.0;
  recording.description.pain_place = "shoulder";
  const auto amended = amend_logbook(logbook_, set_id(recording), recording.description);
  ASSERT_TRUE(amended) << amended.error().line();
  EXPECT_TRUE(*amended);
  const auto bytes = testing::bytes_of(logbook_);
  std::filesystem::remove(logbook_);
  ASSERT_TRUE(
      append_to_logbook(logbook_, make_logged_set(recording, file_, testing::sample_analysis())));
  EXPECT_EQ(testing::bytes_of(logbook_), bytes);
}

TEST_F(Description, OfAnUnknownSetOrAnotherClientLeavesTheLogbookAsItWas) {
  const Recording recording = testing::full_recording();
  ASSERT_TRUE(
      append_to_logbook(logbook_, make_logged_set(recording, file_, testing::sample_analysis())));
  const auto before = testing::bytes_of(logbook_);
  EXPECT_FALSE(*amend_logbook(logbook_, "0123456789abcdef", recording.description));
  SetDescription other = recording.description;
  other.client = "somebody else";
  EXPECT_THAT(amend_logbook(logbook_, set_id(recording), other).error().line(),
              HasSubstr("is the logbook of "));
  EXPECT_EQ(testing::bytes_of(logbook_), before);
}

}  // namespace
}  // namespace strapline::recordings
