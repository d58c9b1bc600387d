#include "strapline/recordings/logbook.hpp"

#include <cmath>
#include <thread>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/recording_file.hpp"

#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;

// Day 1 to 28 of a month; every day's readings differ.
Recording on_day(int day) {
  Recording recording = testing::full_recording();
  const std::string text = std::to_string(day);
  recording.description.started_utc =
      "2026-11-" + std::string(text.size() < 2 ? "0" : "") + text + "T08:00:00Z";
  recording.description.load_kg = 40.0 + day;
  recording.straps[0].counts(0, 0) += day;
  return recording;
}

// A stand-in for an analysis, different for every recording.
dsp::Result<dsp::SetAnalysis> analyse(const Recording& recording) {
  dsp::SetAnalysis analysis = testing::sample_analysis();
  analysis.reps[0].measures["thigh_depth_left"] =
      dsp::MeasuredValue{*recording.description.load_kg / 100.0, 0.03, dsp::Unit::radian};
  return analysis;
}

LoggedSet logged(const Recording& recording, const std::string& file) {
  return make_logged_set(recording, "some/folder/" + file, *analyse(recording));
}

TEST(Summarise, CountsFullRepsOnly) {
  const auto summaries = summarise(testing::sample_analysis().reps);
  // thigh_depth_left: full reps 0.10 ± 0.03 and 0.30 ± 0.04; worked out by hand.
  const MeasureSummary& depth = summaries.at("thigh_depth_left");
  EXPECT_EQ(depth.n, 2);
  EXPECT_DOUBLE_EQ(depth.mean, 0.20);
  EXPECT_DOUBLE_EQ(depth.median, 0.20);
  EXPECT_NEAR(*depth.sd, 0.2 / std::sqrt(2.0), 1e-15);
  EXPECT_NEAR(depth.u, std::sqrt((0.0009 + 0.0016) / 2.0), 1e-15);
  EXPECT_EQ(depth.unit, dsp::Unit::radian);
  EXPECT_EQ(summaries.at("knee_travel_left").n, 1);
  EXPECT_FALSE(summaries.at("knee_travel_left").sd);
}

TEST(Summarise, TakesTheMiddleOfAnOddNumber) {
  std::vector<dsp::Rep> reps(3);
  const double values[] = {5.0, 1.0, 2.0};
  for (std::size_t i = 0; i < 3; ++i) {
    reps[i].measures["range"] = dsp::MeasuredValue{values[i], 0.1, dsp::Unit::radian};
  }
  EXPECT_EQ(summarise(reps).at("range").median, 2.0);
}

void expect_equal(const Logbook& a, const Logbook& b) {
  EXPECT_EQ(a.client, b.client);
  ASSERT_EQ(a.sets.size(), b.sets.size());
  for (std::size_t i = 0; i < a.sets.size(); ++i) {
    const LoggedSet& x = a.sets[i];
    const LoggedSet& y = b.sets[i];
    EXPECT_EQ(x.set_id, y.set_id);
    EXPECT_EQ(x.file, y.file);
    EXPECT_EQ(x.source, y.source);
    EXPECT_EQ(x.algorithm, y.algorithm);
    EXPECT_EQ(x.full_reps, y.full_reps);
    EXPECT_EQ(x.part_reps, y.part_reps);
    EXPECT_EQ(x.description.load_kg, y.description.load_kg);
    EXPECT_EQ(x.description.started_utc, y.description.started_utc);
    EXPECT_EQ(x.description.notes, y.description.notes);
    EXPECT_EQ(x.description.client, y.description.client);
    testing::expect_equal(x.reps, y.reps);
    testing::expect_equal(x.clusters, y.clusters);
    testing::expect_equal(x.as_whole, y.as_whole);
    ASSERT_EQ(x.measures.size(), y.measures.size());
    for (const auto& [name, m] : x.measures) {
      const MeasureSummary& n = y.measures.at(name);
      EXPECT_EQ(m.n, n.n);
      EXPECT_EQ(m.median, n.median);
      EXPECT_EQ(m.mean, n.mean);
      EXPECT_EQ(m.sd, n.sd);
      EXPECT_EQ(m.u, n.u);
      EXPECT_EQ(m.unit, n.unit);
    }
  }
}

TEST(Logbook, KeepsWhatWasAddedInOrderOfTime) {
  const Folder folder;
  const auto file = folder / "book.h5";
  Logbook expected{"winch operator", {}};
  for (const int day : {1, 2, 3}) expected.sets.push_back(logged(on_day(day), "x.h5"));
  for (const int day : {2, 3, 1}) {
    const auto added = append_to_logbook(file, logged(on_day(day), "x.h5"));
    ASSERT_TRUE(added) << added.error().line();
    EXPECT_EQ(*added, Added::yes);
  }
  const auto read = read_logbook(file);
  ASSERT_TRUE(read) << read.error().line();
  expect_equal(expected, *read);
  EXPECT_EQ(read->sets[0].full_reps, 2);
  EXPECT_EQ(read->sets[0].part_reps, 1);
  EXPECT_EQ(read->sets[0].file, "x.h5");
  EXPECT_THAT(folder.names(), ElementsAre("book.h5"));
}

TEST(Logbook, EntersTheSameReadingsOnce) {
  const Folder folder;
  const auto file = folder / "book.h5";
  ASSERT_TRUE(append_to_logbook(file, logged(on_day(1), "a.h5")));
  const auto before = testing::bytes_of(file);
  Recording again = on_day(1);
  again.description.notes = "the same set, noted again";
  EXPECT_EQ(append_to_logbook(file, logged(again, "b.h5")), Added::already_there);
  EXPECT_EQ(testing::bytes_of(file), before);
}

TEST(Logbook, BelongsToOneClient) {
  const Folder folder;
  ASSERT_TRUE(append_to_logbook(folder / "book.h5", logged(on_day(1), "a.h5")));
  Recording other = on_day(2);
  other.description.client = "medic";
  const auto refused = append_to_logbook(folder / "book.h5", logged(other, "b.h5"));
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().line(), HasSubstr("is the logbook of winch operator, not of medic"));
}

TEST(Logbook, RebuiltEqualsAppended) {
  const Folder folder;
  for (const int day : {5, 1, 12, 3}) {
    const std::string name = "day" + std::to_string(day) + ".h5";
    ASSERT_TRUE(write_recording(folder / name, on_day(day)));
    ASSERT_TRUE(append_to_logbook(folder / "appended.h5", logged(on_day(day), name)));
  }
  std::filesystem::copy_file(folder / "day5.h5", folder / "zz_copy_of_day5.h5");
  Recording other = on_day(7);
  other.description.client = "medic";
  ASSERT_TRUE(write_recording(folder / "other.h5", other));
  testing::put(folder / "broken.h5", std::string("no recording"));
  testing::put(folder / "notes.txt", std::string("passed over"));

  const auto report =
      rebuild_logbook(folder / "rebuilt.h5", "winch operator", folder.path(), analyse);
  ASSERT_TRUE(report) << report.error().line();
  EXPECT_EQ(report->added, 4);
  EXPECT_EQ(report->repeated, 1);
  EXPECT_EQ(report->other_clients, 1);
  ASSERT_EQ(report->skipped.size(), 1U);
  EXPECT_THAT(report->skipped[0].line(), HasSubstr("broken.h5: not an HDF5 file"));

  expect_equal(*read_logbook(folder / "appended.h5"), *read_logbook(folder / "rebuilt.h5"));
  EXPECT_EQ(testing::bytes_of(folder / "appended.h5"), testing::bytes_of(folder / "rebuilt.h5"));
  // And once more over itself.
  ASSERT_TRUE(rebuild_logbook(folder / "rebuilt.h5", "winch operator", folder.path(), analyse));
  EXPECT_EQ(testing::bytes_of(folder / "appended.h5"), testing::bytes_of(folder / "rebuilt.h5"));
}

TEST(Logbook, RebuildReportsWhatCannotBeAnalysed) {
  const Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", on_day(1)));
  const auto refuse = [](const Recording&) -> dsp::Result<dsp::SetAnalysis> {
    return dsp::fail("the still part is shorter than 1 s");
  };
  const auto report = rebuild_logbook(folder / "book.h5", "winch operator", folder.path(), refuse);
  ASSERT_TRUE(report);
  ASSERT_EQ(report->skipped.size(), 1U);
  EXPECT_THAT(report->skipped[0].line(), HasSubstr("a.h5: the still part"));
  EXPECT_TRUE(read_logbook(folder / "book.h5")->sets.empty());
}

TEST(Logbook, RebuildOfAMissingFolderLeavesTheOldOne) {
  const Folder folder;
  ASSERT_TRUE(append_to_logbook(folder / "book.h5", logged(on_day(1), "a.h5")));
  EXPECT_FALSE(rebuild_logbook(folder / "book.h5", "winch operator", folder / "none", analyse));
  EXPECT_EQ(read_logbook(folder / "book.h5")->sets.size(), 1U);
}

TEST(Logbook, WritersAtTheSameTimeBothGetIn) {
  const Folder folder;
  const auto add = [&](int first) {
    for (int day = first; day < first + 5; ++day) {
      EXPECT_TRUE(append_to_logbook(folder / "book.h5", logged(on_day(day), "x.h5")));
    }
  };
  std::thread one(add, 1);
  std::thread two(add, 11);
  one.join();
  two.join();
  EXPECT_EQ(read_logbook(folder / "book.h5")->sets.size(), 10U);
}

TEST(Logbook, OtherFilesAreNamedAsSuch) {
  const Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", on_day(1)));
  const auto read = read_logbook(folder / "a.h5");
  ASSERT_FALSE(read);
  EXPECT_THAT(read.error().line(), HasSubstr("not a logbook (it says strapline-recording)"));
  EXPECT_FALSE(append_to_logbook(folder / "a.h5", logged(on_day(1), "a.h5")));
  EXPECT_TRUE(read_recording(folder / "a.h5"));
}

TEST(Logbook, EveryTruncationIsNoticed) {
  const Folder folder;
  ASSERT_TRUE(append_to_logbook(folder / "book.h5", logged(on_day(1), "a.h5")));
  const h5::Bytes whole = testing::bytes_of(folder / "book.h5");
  for (std::size_t size = 0; size < whole.size(); size += 17) {
    testing::put(folder / "cut.h5",
                 h5::Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size)));
    ASSERT_FALSE(read_logbook(folder / "cut.h5")) << size;
  }
}

}  // namespace
}  // namespace strapline::recordings
