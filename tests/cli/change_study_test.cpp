#include "strapline/cli/change_study.hpp"

#include <gmock/gmock.h>

#include "strapline/coaching/chance.hpp"

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

/// Two-sided; some 90 shares are held against an interval each, so that a sound program passes on
/// nine seeds of ten.
constexpr double kConfidence = 0.999;

coaching::Interval called_changed(const ChangeStudyRow& row) {
  return coaching::share_interval(row.changed, row.logbooks, kConfidence);
}

std::string name_of(const ChangeStudyRow& row) {
  return std::to_string(row.days) + " days, " +
         (row.source == coaching::ErrorSource::own_repeats ? "own repeats, " : "stated, ") +
         std::to_string(row.degrees_of_freedom) + " df, " + std::to_string(row.times_mdc95);
}

/// A date, so that nobody chose it for its outcome.
constexpr std::uint64_t kSeed = 20261125;

/// The bounds that a coach's ordinary use (two days a side or more) is to keep.
TEST(ChangeStudy, RealChangesAreToldAndNoChangeIsNot) {
  const ChangeStudy study = run_change_study({1000, kSeed, false});
  EXPECT_THAT(study.failures, IsEmpty());
  int real = 0, none = 0;
  for (const ChangeStudyRow& row : study.rows) {
    ASSERT_EQ(row.logbooks, 1000);
    ASSERT_EQ(row.changed + row.unchanged + row.cannot_tell, row.logbooks);
    if (row.times_mdc95 == 1.5 && row.days >= kOrdinaryDays) {
      ++real;
      EXPECT_GE(row.changed, 900) << name_of(row);
    }
    if (row.times_mdc95 == 0.0) {
      ++none;
      EXPECT_LE(called_changed(row).low, 0.05) << name_of(row);
    }
    // A change that matters lies outside a 95 % interval that is inside ±what matters: one tail.
    if (row.matters > 0) {
      EXPECT_LE(coaching::share_interval(row.matters_unchanged, row.matters, kConfidence).low,
                0.025)
          << name_of(row);
    }
  }
  EXPECT_EQ(real, 6);
  EXPECT_EQ(none, 9);
}

/// With the change at once the noncentral t distribution (own repeats; Boost.Math, held against
/// SciPy in tests/coaching) and the normal one (stated u) say how often.
TEST(ChangeStudy, SharesAreWhatTheoryHas) {
  const ChangeStudy study = run_change_study({1000, kSeed + 1, true});
  for (const ChangeStudyRow& row : study.rows) {
    const coaching::Interval interval = called_changed(row);
    EXPECT_GE(row.theory, interval.low) << name_of(row);
    EXPECT_LE(row.theory, interval.high) << name_of(row);
  }
}

TEST(ChangeStudy, SeedAndNothingElseDecides) {
  const auto counts = [](std::uint64_t seed) {
    std::vector<int> all;
    for (const ChangeStudyRow& row : run_change_study({20, seed, false}).rows) {
      all.insert(all.end(), {row.changed, row.unchanged, row.cannot_tell});
    }
    return all;
  };
  EXPECT_EQ(counts(3), counts(3));
  EXPECT_NE(counts(3), counts(4));
}

TEST(ChangeStudy, TheCommandPrintsRowsBoundsAndSeed) {
  const Outcome table = strapline({"verify", "--changes", "--logbooks", "40", "--seed", "5"});
  EXPECT_EQ(table.status, kDone) << table.err;
  for (const char* part :
       {"40 a row, seed 5", "own repeats, 5 df", "stated u", "A change of 1.5 × MDC95, 2 days",
        "With one day a side that is", "No change is called changed in"}) {
    EXPECT_THAT(table.out, HasSubstr(part));
  }
  const Outcome outcome = strapline({"verify", "--changes", "--logbooks", "40", "--json"});
  EXPECT_EQ(outcome.status, kDone) << outcome.err;
  const auto json = outcome.json();
  EXPECT_EQ(json["rows"].size(), 45U);
  EXPECT_EQ(json["rows"][0]["logbooks"], 40);
}

}  // namespace
}  // namespace strapline::cli::testing
