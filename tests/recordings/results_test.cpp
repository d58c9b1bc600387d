#include "strapline/recordings/results.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/recording_file.hpp"

#include "hdf5/attribute.hpp"
#include "hdf5/group.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;

class Results : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(write_recording(file_, testing::full_recording())); }
  Folder folder_;
  std::filesystem::path file_ = folder_ / "set.h5";
};

TEST_F(Results, AreAbsentBeforeTheFirstReview) {
  const auto read = read_results(file_);
  ASSERT_FALSE(read);
  EXPECT_THAT(read.error().line(), HasSubstr("set.h5: holds no results yet"));
}

TEST_F(Results, RoundTripAndLeaveTheReadingsAlone) {
  const auto written = write_results(file_, testing::sample_analysis());
  ASSERT_TRUE(written) << written.error().line();
  const auto read = read_results(file_);
  ASSERT_TRUE(read) << read.error().line();
  testing::expect_equal(testing::sample_analysis(), *read);
  testing::expect_equal(testing::full_recording(), *read_recording(file_));
  EXPECT_THAT(folder_.names(), ElementsAre("set.h5"));
}

TEST_F(Results, OfBefore12HaveNoSidesAndNothingOfTheSet) {
  ASSERT_TRUE(write_results(file_, testing::sample_analysis()));
  testing::change_file(file_, [](hid_t root) {
    const h5::Handle results = h5::open_group(root, "results");
    h5::remove_child(results.get(), "set");
    h5::remove_child(h5::open_group(results.get(), "reps").get(), "side");
  });
  const auto read = read_results(file_);
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_TRUE(read->measures.empty());
  for (const dsp::Rep& rep : read->reps) EXPECT_EQ(rep.side, dsp::Side::middle);
}

TEST_F(Results, OfBefore14GetTheirClustersFromTheReps) {
  dsp::SetAnalysis stored = testing::sample_analysis();
  ASSERT_TRUE(write_results(file_, stored));
  testing::change_file(file_, [](hid_t root) {
    h5::remove_child(h5::open_group(root, "results").get(), "clusters");
  });
  const auto read = read_results(file_);
  ASSERT_TRUE(read) << read.error().line();
  stored.clusters = {{0, 3, 0.0}};  // they lie half a second apart
  testing::expect_equal(stored, *read);
}

TEST_F(Results, ClustersThatDoNotHoldTheRepsAreNamed) {
  for (const std::vector<dsp::RepCluster>& wrong : std::vector<std::vector<dsp::RepCluster>>{
           {{0, 2, 0.0}}, {{0, 2, 0.0}, {2, 2, 9.0}}, {{0, 1, 0.0}, {2, 1, 9.0}}}) {
    dsp::SetAnalysis bad = testing::sample_analysis();
    bad.clusters = wrong;
    ASSERT_TRUE(write_results(file_, bad));
    const auto read = read_results(file_);
    ASSERT_FALSE(read);
    EXPECT_THAT(read.error().line(), HasSubstr("/results/clusters: "));
  }
}

TEST_F(Results, ReplaceEarlierOnesWithoutGrowing) {
  ASSERT_TRUE(write_results(file_, testing::sample_analysis()));
  const auto size = std::filesystem::file_size(file_);
  dsp::SetAnalysis last = testing::sample_analysis();
  for (int i = 0; i < 20; ++i) {
    last.reps.pop_back();
    if (last.reps.empty()) last = testing::sample_analysis();
    last.clusters = dsp::clusters_of(last.reps);
    ASSERT_TRUE(write_results(file_, last));
  }
  testing::expect_equal(last, *read_results(file_));
  EXPECT_LT(std::filesystem::file_size(file_), 2 * size);
}

TEST_F(Results, KeepWhatOthersAdded) {
  testing::change_file(file_, [](hid_t root) {
    h5::set_text(root, "x_colour", "amber");
    h5::set_real(h5::create_group(root, "x_own").get(), "value", 7.0);
  });
  ASSERT_TRUE(write_results(file_, testing::sample_analysis()));
  testing::change_file(file_, [](hid_t root) {
    EXPECT_EQ(h5::find_text(root, "x_colour"), "amber");
    EXPECT_EQ(h5::find_real(h5::open_group(root, "x_own").get(), "value"), 7.0);
  });
}

TEST_F(Results, OfNoRepsAreStillResults) {
  dsp::SetAnalysis empty;
  empty.algorithm = "squat 0.1";
  ASSERT_TRUE(write_results(file_, empty));
  const auto read = read_results(file_);
  ASSERT_TRUE(read) << read.error().line();
  testing::expect_equal(empty, *read);
}

TEST_F(Results, ThatCannotBeStoredLeaveTheFileAsItWas) {
  const auto before = testing::bytes_of(file_);
  dsp::SetAnalysis bad = testing::sample_analysis();
  bad.traces[1].value.resize(3);
  const auto short_trace = write_results(file_, bad);
  ASSERT_FALSE(short_trace);
  EXPECT_THAT(short_trace.error().line(), HasSubstr("knee_travel_left"));
  bad = testing::sample_analysis();
  bad.reps[1].measures["thigh_depth_left"] = dsp::MeasuredValue{1.0, 1.0, dsp::Unit::metre};
  const auto two_units = write_results(file_, bad);
  ASSERT_FALSE(two_units);
  EXPECT_THAT(two_units.error().line(), HasSubstr("thigh_depth_left: has two units"));
  EXPECT_EQ(testing::bytes_of(file_), before);
  EXPECT_THAT(folder_.names(), ElementsAre("set.h5"));
}

TEST_F(Results, NeedARecordingToGoInto) {
  const auto missing = write_results(folder_ / "none.h5", testing::sample_analysis());
  ASSERT_FALSE(missing);
  EXPECT_THAT(missing.error().line(), HasSubstr("no such file"));
}

}  // namespace
}  // namespace strapline::recordings
