// Parts of a logbook: the same as in the whole, whichever version wrote it, and never silently
// something else.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/logbook.hpp"

#include "hdf5/attribute.hpp"
#include "hdf5/column.hpp"
#include "hdf5/group.hpp"
#include "logbook_writer.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::AllOf;
using testing::Folder;
using ::testing::HasSubstr;
using ::testing::Not;

dsp::Rep rep_of(int number, int measures) {
  dsp::Rep rep;
  rep.start_s = number;
  rep.end_s = number + 0.5;
  for (int i = 0; i < measures; ++i) {
    const std::string name = "measure_" + std::to_string(100 + i);
    rep.measures[name] = dsp::MeasuredValue{number + 0.01 * i, 0.02, dsp::Unit::radian};
  }
  rep.measures["absent"] = dsp::NotMeasured{"needs a strap on the bar"};
  return rep;
}

/// One set a day; how many reps it has tells it from its neighbours, and some have none.
Logbook book_of(int sets, int measures) {
  Logbook book{"winch operator", {}};
  for (int i = 0; i < sets; ++i) {
    LoggedSet set;
    set.set_id = "set" + std::to_string(100 + i);
    set.file = set.set_id + ".h5";
    set.description.client = book.client;
    set.description.movement = i % 2 == 0 ? "squat" : "push_up";
    set.description.started_utc = "2026-11-25T08:00:00Z";
    set.description.load_kg = i;
    for (int rep = 0; rep < i % 4; ++rep) set.reps.push_back(rep_of(10 * i + rep, measures));
    set.full_reps = i % 4;
    set.clusters = dsp::clusters_of(set.reps);
    set.measures = summarise(set.reps);
    if (i % 4 > 1) set.as_whole["velocity_loss"] = dsp::MeasuredValue{0.1 * i, 0.02, {}};
    book.sets.push_back(std::move(set));
  }
  return book;
}

/// What a part of it has to be.
Logbook cut_down(Logbook book, const LogbookPart& part) {
  const std::vector<LoggedSet> headlines = book.sets;
  for (std::size_t i = 0; i < book.sets.size(); ++i) {
    if (!part.summaries || !part.summaries(headlines)[i]) {
      book.sets[i].measures.clear();
      book.sets[i].as_whole.clear();
    }
    if (!part.reps || !part.reps(headlines)[i]) {
      book.sets[i].reps.clear();
      book.sets[i].clusters.clear();
    }
  }
  return book;
}

LogbookPart::Choice numbered(std::vector<std::size_t> numbers) {
  return [numbers = std::move(numbers)](const std::vector<LoggedSet>& headlines) {
    std::vector<bool> wanted(headlines.size());
    for (const std::size_t number : numbers) wanted[number] = true;
    return wanted;
  };
}

std::vector<LogbookPart> some_parts(std::size_t sets) {
  const auto squats =
      sets_where([](const LoggedSet& set) { return set.description.movement == "squat"; });
  return {{},
          {every_set, {}},
          {{}, every_set},
          {every_set, every_set},
          {squats, numbered({sets - 1})},
          {numbered({0, sets / 2, sets - 1}), numbered({3, sets / 2 + 1, sets - 1})},
          {numbered({}), numbered({0})}};
}

/// Equal logbooks give equal bytes.
void expect_parts(const std::filesystem::path& file, const Logbook& book) {
  for (const LogbookPart& part : some_parts(book.sets.size())) {
    const auto read = read_logbook(file, part);
    ASSERT_TRUE(read) << read.error().line();
    EXPECT_TRUE(logbook_bytes(*read) == logbook_bytes(cut_down(book, part)));
  }
}

void state_minor(hid_t root, int minor) {
  h5::remove_attribute(root, "schema_minor");
  h5::set_integer(root, "schema_minor", minor);
}

/// As version 1.3 wrote it.
void forget_whole_sets(hid_t root) {
  const h5::Handle sets = h5::open_group(root, "sets");
  for (const char* name : {"first_whole_set", "first_cluster"}) h5::remove_child(sets.get(), name);
  for (const char* name : {"whole_set", "clusters"}) h5::remove_child(root, name);
  state_minor(root, 3);
}

/// As version 1.2 wrote it.
void forget_first_rows(hid_t root) {
  forget_whole_sets(root);
  const h5::Handle sets = h5::open_group(root, "sets");
  for (const char* name : {"first_set_measure", "first_rep", "first_rep_measure"}) {
    h5::remove_child(sets.get(), name);
  }
  state_minor(root, 2);
}

/// What an older file holds of it.
Logbook without_whole_sets(Logbook book) {
  for (LoggedSet& set : book.sets) set.as_whole.clear();
  return book;
}

template <class T>
void replace(hid_t root, const std::string& table, const std::string& name,
             const std::vector<T>& values) {
  const h5::Handle group = h5::open_group(root, table);
  h5::remove_child(group.get(), name);
  h5::write_column<T>(group.get(), name, values, {"1", true});
}

class LogbookPartTest : public ::testing::Test {
 protected:
  void write(const Logbook& book) {
    const auto written = write_logbook(file_, book, Overwrite::yes);
    ASSERT_TRUE(written) << written.error().line();
  }

  /// What reading everything says of the changed file.
  std::string failure_after(const std::function<void(hid_t)>& change) {
    write(book_);
    testing::change_file(file_, change);
    const auto whole = read_logbook(file_);
    if (whole) return "read";
    EXPECT_EQ(whole.error().line().find('\n'), std::string::npos);
    return whole.error().line();
  }

  Folder folder_;
  std::filesystem::path file_ = folder_ / "book.h5";
  Logbook book_ = book_of(9, 3);
};

TEST_F(LogbookPartTest, AreTheSameAsInTheWhole) {
  write(book_);
  expect_parts(file_, book_);
}

TEST_F(LogbookPartTest, LieFarApartInALargerLogbook) {
  const Logbook large = book_of(90, 60);  // 8,000 rows: many more than are read along
  write(large);
  expect_parts(file_, large);
}

TEST_F(LogbookPartTest, OfAnEmptyLogbookAreEmpty) {
  write({"medic", {}});
  const auto read = read_logbook(file_, {every_set, every_set});
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_EQ(read->client, "medic");
  EXPECT_TRUE(read->sets.empty());
}

TEST_F(LogbookPartTest, AreFoundInAFileOfVersionOneTwo) {
  const Logbook large = book_of(90, 60);
  write(large);
  testing::change_file(file_, forget_first_rows);
  expect_parts(file_, without_whole_sets(large));
  // Adding to it brings the columns.
  LoggedSet more = large.sets.back();
  more.set_id = "set999";
  ASSERT_EQ(append_to_logbook(file_, more), Added::yes);
  testing::change_file(file_, [](hid_t root) {
    EXPECT_TRUE(h5::has_child(h5::open_group(root, "sets").get(), "first_rep_measure"));
  });
}

TEST_F(LogbookPartTest, OfVersionOneThreeHaveClustersByTheirReps) {
  Logbook pausing = book_of(9, 3);
  LoggedSet& last = pausing.sets[3];
  last.reps.push_back(rep_of(80, 3));  // the others lie half a second apart
  last.measures = summarise(last.reps);
  last.clusters = dsp::clusters_of(last.reps);
  EXPECT_EQ(pausing.sets[3].clusters.size(), 2U);
  write(pausing);
  testing::change_file(file_, forget_whole_sets);
  expect_parts(file_, without_whole_sets(pausing));
}

TEST_F(LogbookPartTest, ClustersThatDoNotHoldTheRepsAreNamed) {
  EXPECT_THAT(failure_after([](hid_t root) {
                replace<std::int64_t>(root, "clusters", "reps", {1, 2, 9, 1, 2, 3});
              }),
              HasSubstr("/clusters/first_rep: the clusters do not follow"));
}

TEST_F(LogbookPartTest, AreFoundWhereOthersMixedTheRows) {
  write(book_);
  testing::change_file(file_, [](hid_t root) {
    forget_first_rows(root);
    // The last set's rep before the first's: numbers per set stay 1, 2, 3.
    const h5::Handle reps = h5::open_group(root, "reps");
    auto ids = h5::read_texts(reps.get(), "set_id");
    auto number = h5::read_column<std::int64_t>(reps.get(), "rep", {});
    std::rotate(ids.begin(), ids.begin() + 1, ids.end());
    std::rotate(number.begin(), number.begin() + 1, number.end());
    h5::remove_child(reps.get(), "set_id");
    h5::write_texts(reps.get(), "set_id", ids, {"", true});
    replace(root, "reps", "rep", number);
  });
  const auto read = read_logbook(file_, {{}, numbered({1, 7})});
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_EQ(read->sets[1].reps.size(), 1U);
  EXPECT_EQ(read->sets[7].reps.size(), 3U);
  EXPECT_EQ(read->sets[5].reps.size(), 0U);
}

TEST_F(LogbookPartTest, FirstRowsThatDoNotAgreeAreNamed) {
  const auto with = [&](const std::string& column, const std::vector<std::int64_t>& first) {
    return failure_after([&](hid_t root) { replace(root, "sets", column, first); });
  };
  // Reps of the nine sets: 0 1 2 3 0 1 2 3 0, so they begin at:
  EXPECT_EQ(with("first_rep", {0, 0, 1, 3, 6, 6, 7, 9, 12}), "read");
  for (const auto& wrong :
       std::vector<std::vector<std::int64_t>>{{0, 0, 1, 3, 6, 6, 7, 9, 13},  // beyond the end
                                              {0, 0, 3, 1, 6, 6, 7, 9, 12},  // falling
                                              {1, 1, 1, 3, 6, 6, 7, 9, 12},  // a row of nobody
                                              {-1, 0, 1, 3, 6, 6, 7, 9, 12}}) {
    EXPECT_THAT(with("first_rep", wrong),
                HasSubstr("/sets/first_rep: does not agree with the rows of /reps"));
  }
  EXPECT_THAT(with("first_rep", {0, 0, 1, 3, 6, 6, 7, 10, 12}),
              HasSubstr("/reps/set_id: names a set that /sets does not have in this place"));
  EXPECT_THAT(with("first_rep_measure", {0, 0, 4, 12, 24, 24, 28, 37, 48}),
              HasSubstr("/rep_measures/set_id: names a set"));
  EXPECT_THAT(with("first_set_measure", {0, 0, 3, 6, 9, 9, 12, 14, 18}),
              HasSubstr("/set_measures/set_id: names a set"));
  EXPECT_THAT(with("first_rep", {0, 0}), HasSubstr("/sets/first_rep: has 2 rows, the table 9"));
}

TEST_F(LogbookPartTest, UnknownSetsAndMissingColumnsAreNamed) {
  EXPECT_THAT(failure_after([](hid_t root) {
                forget_first_rows(root);
                const h5::Handle reps = h5::open_group(root, "reps");
                auto ids = h5::read_texts(reps.get(), "set_id");
                ids[2] = "another";
                h5::remove_child(reps.get(), "set_id");
                h5::write_texts(reps.get(), "set_id", ids, {"", true});
              }),
              HasSubstr("/reps/set_id: names a set that /sets does not have"));
  EXPECT_THAT(failure_after([](hid_t root) {
                h5::remove_child(h5::open_group(root, "rep_measures").get(), "u");
              }),
              HasSubstr("/rep_measures/u: this data set is missing"));
  EXPECT_THAT(failure_after([](hid_t root) {
                replace<double>(root, "set_measures", "mean", {1.0, 2.0});
              }),
              HasSubstr("/set_measures/mean: has 2 rows, the table 18"));
}

TEST_F(LogbookPartTest, EveryTruncationIsNoticed) {
  write(book_);
  const h5::Bytes whole = testing::bytes_of(file_);
  const auto cut = folder_ / "cut.h5";
  for (std::size_t size = 0; size < whole.size(); size += 5) {
    testing::put(cut, h5::Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size)));
    const auto read = read_logbook(cut, LogbookPart{});
    ASSERT_FALSE(read) << size;
    ASSERT_THAT(read.error().line(), AllOf(HasSubstr("cut.h5: "), Not(HasSubstr("\n")))) << size;
  }
}

TEST_F(LogbookPartTest, AreRefusedOfOtherFiles) {
  EXPECT_THAT(read_logbook(folder_ / "none.h5", LogbookPart{}).error().line(),
              HasSubstr("none.h5: no such file"));
  EXPECT_THAT(read_logbook(folder_.path(), LogbookPart{}).error().line(), HasSubstr("not a file"));
  testing::put(file_, std::string(2000, 'x'));
  EXPECT_THAT(read_logbook(file_, LogbookPart{}).error().line(),
              HasSubstr("book.h5: not an HDF5 file"));
  testing::put(file_, std::string());
  EXPECT_THAT(read_logbook(file_, LogbookPart{}).error().line(), HasSubstr("the file is empty"));
}

TEST_F(LogbookPartTest, AWholeLogbookIsWrittenInOrderAndOnce) {
  std::swap(book_.sets[1], book_.sets[7]);
  write(book_);
  EXPECT_EQ(read_logbook(file_)->sets[1].set_id, "set101");
  EXPECT_FALSE(write_logbook(file_, book_, Overwrite::no));
  book_.sets[2].set_id = "set101";
  EXPECT_THAT(write_logbook(file_, book_, Overwrite::yes).error().line(),
              HasSubstr("book.h5: the set set101 comes twice"));
  book_.sets[2].set_id = "set102";
  book_.sets[2].description.client = "medic";
  EXPECT_THAT(write_logbook(file_, book_, Overwrite::yes).error().line(),
              HasSubstr("is the logbook of winch operator, not of medic"));
  EXPECT_EQ(read_logbook(file_)->sets.size(), 9U);
}

}  // namespace
}  // namespace strapline::recordings
