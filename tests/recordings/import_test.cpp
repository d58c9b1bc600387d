#include <cmath>
#include <numbers>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "strapline/recordings/import_csv.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "decimal_counts.hpp"
#include "sample.hpp"

namespace strapline::recordings {
namespace {

using ::testing::ElementsAre;
using testing::Folder;
using ::testing::HasSubstr;

const dsp::Placement kThigh{dsp::Segment::thigh, dsp::Side::left};

class Import : public ::testing::Test {
 protected:
  dsp::Result<CsvImport> import(const std::string& text, const CsvOptions& options = {}) {
    testing::put(folder_ / "a.csv", text);
    return import_csv(folder_ / "a.csv", kThigh, options);
  }
  std::string failure(const std::string& text, const CsvOptions& options = {}) {
    const auto result = import(text, options);
    return result ? std::string("imported") : result.error().line();
  }
  CsvImport must(const std::string& text, const CsvOptions& options = {}) {
    auto result = import(text, options);
    if (result) return *result;
    ADD_FAILURE() << result.error().line();
    return {};
  }
  Folder folder_;
};

const std::string kHeader = "t,ax,ay,az,gx,gy,gz\n";

TEST_F(Import, ReadsColumnsInAnyOrderAndIgnoresOthers) {
  const CsvImport import = must(
      "temp,GZ,gy,gx,az,ay,ax,t,comment\n"
      "21,6,5,4,3,2,1,10.00,first\n"
      "21,-6,-5,-4,-3,-2,-1,10.01,second\n");
  const dsp::InertialSeries series = to_series(import.strap).data;
  EXPECT_EQ(series.acc.col(0), Eigen::Vector3d(1, 2, 3));
  EXPECT_EQ(series.gyr.col(1), Eigen::Vector3d(-4, -5, -6));
  EXPECT_EQ(series.t[0], 10.00);
  EXPECT_EQ(series.t[1], 10.01);
  EXPECT_EQ(import.strap.placement, kThigh);
  EXPECT_EQ(import.report.rows, 2U);
}

TEST_F(Import, TakesWindowsFilesAsTheyCome) {
  const CsvImport import = must(
      "\xEF\xBB\xBF\"t\";\"ax\";\"ay\";\"az\";\"gx\";\"gy\";\"gz\"\r\n"
      "0;1,5;2;3;4;5;6\r\n"
      "0,01; 1.5 ;2;3;4;5;-6,25\r\n\r\n");
  EXPECT_EQ(to_series(import.strap).data.acc(0, 0), 1.5);
  EXPECT_EQ(to_series(import.strap).data.gyr(2, 1), -6.25);
  EXPECT_EQ(import.strap.t[1], 0.01);
}

TEST_F(Import, KeepsEveryDigitOfDecimalText) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> acceleration(-160.0, 160.0), rate(-35.0, 35.0);
  std::string text = kHeader;
  std::vector<std::array<std::string, 7>> cells;
  for (int i = 0; i < 500; ++i) {
    std::array<std::string, 7> row;
    char cell[32];
    std::snprintf(cell, sizeof cell, "%.5f", 0.02500 * i + 3.0);
    row[0] = cell;
    for (std::size_t c = 1; c < 7; ++c) {
      std::snprintf(cell, sizeof cell, c < 4 ? "%.6f" : "%.7f",
                    c < 4 ? acceleration(random) : rate(random));
      row[c] = cell;
    }
    for (std::size_t c = 0; c < 7; ++c) text += row[c] + (c < 6 ? "," : "\n");
    cells.push_back(row);
  }
  const CsvImport import = must(text);
  EXPECT_EQ(import.report.acc_rounding, 0.0);
  EXPECT_EQ(import.report.gyr_rounding, 0.0);
  EXPECT_EQ(import.strap.acc_scale, 1e-6);
  EXPECT_EQ(import.strap.gyr_scale, 1e-7);

  // Through a file, and printed again with as many decimals: the same text.
  Recording recording;
  recording.description.client = "medic";
  recording.straps = {import.strap};
  ASSERT_TRUE(write_recording(folder_ / "a.h5", recording));
  const auto read = read_recording(folder_ / "a.h5");
  ASSERT_TRUE(read) << read.error().line();
  const dsp::InertialSeries series = to_series(read->straps[0]).data;
  for (Eigen::Index i = 0; i < series.size(); ++i) {
    const auto& row = cells[static_cast<std::size_t>(i)];
    char cell[32];
    std::snprintf(cell, sizeof cell, "%.5f", series.t[i]);
    ASSERT_EQ(row[0], cell);
    for (Eigen::Index c = 0; c < 3; ++c) {
      std::snprintf(cell, sizeof cell, "%.6f", series.acc(c, i));
      ASSERT_EQ(row[static_cast<std::size_t>(c + 1)], cell);
      std::snprintf(cell, sizeof cell, "%.7f", series.gyr(c, i));
      ASSERT_EQ(row[static_cast<std::size_t>(c + 4)], cell);
    }
  }
}

TEST_F(Import, ScalesFinerForFinerTextAndCoarserForLargeValues) {
  const CsvImport fine = must(kHeader + "0,1,1,1,-0.00479868,0,0\n1,1,1,1,1e-8,0,0\n");
  EXPECT_EQ(fine.strap.gyr_scale, 1e-8);
  EXPECT_EQ(fine.strap.counts(3, 0), -479868);
  EXPECT_EQ(fine.strap.counts(3, 1), 1);
  const CsvImport large = must(kHeader + "0,30000.25,1,1,0,0,0\n1,-30000.5,1,1,0,0,0\n");
  EXPECT_EQ(large.strap.acc_scale, 1e-4);
  EXPECT_EQ(large.strap.counts(0, 0), 300002500);
  EXPECT_EQ(large.report.acc_rounding, 0.0);
  const CsvImport rounded = must(kHeader + "0,1.234567890123,1,1,0,0,0\n1,1,1,1,0,0,0\n");
  EXPECT_GT(rounded.report.acc_rounding, 0.0);
  EXPECT_LE(rounded.report.acc_rounding, 0.5e-9);
  EXPECT_TRUE(rounded.report.notes.empty());
  const CsvImport coarse = must(kHeader + "0,30000.123456,1,1,0,0,0\n1,1,1,1,0,0,0\n");
  EXPECT_NEAR(coarse.report.acc_rounding, 4.4e-5, 1e-9);
  EXPECT_THAT(coarse.report.notes, ElementsAre(HasSubstr("were rounded")));
}

TEST_F(Import, ConvertsUnits) {
  CsvOptions options;
  options.acc = AccelerationUnit::milli_g;
  options.gyr = RateUnit::degree_per_second;
  options.time = TimeUnit::millisecond;
  const std::string text = kHeader + "1000,1000,0,-500,180,90,0\n1010.5,0,0,0,0,0,0\n";
  const dsp::InertialSeries mixed = to_series(must(text, options).strap).data;
  EXPECT_NEAR(mixed.acc(0, 0), 9.80665, 1e-12);
  EXPECT_NEAR(mixed.acc(2, 0), -9.80665 / 2.0, 1e-12);
  EXPECT_NEAR(mixed.gyr(0, 0), std::numbers::pi, 1e-12);
  EXPECT_EQ(mixed.t[0], 1.0);
  EXPECT_EQ(mixed.t[1], 1.0105);
  options = {AccelerationUnit::g, RateUnit::millidegree_per_second, TimeUnit::microsecond, {}};
  const dsp::InertialSeries other =
      to_series(must(kHeader + "0,1,0,0,90000,0,0\n2500,0,0,0,0,0,0\n", options).strap).data;
  EXPECT_NEAR(other.acc(0, 0), 9.80665, 1e-12);
  EXPECT_NEAR(other.gyr(0, 0), std::numbers::pi / 2.0, 1e-12);
  EXPECT_EQ(other.t[1], 0.0025);
}

TEST(UnitNames, AreReadOrListed) {
  EXPECT_EQ(acceleration_unit_from_string("mg"), AccelerationUnit::milli_g);
  EXPECT_EQ(rate_unit_from_string("deg/s"), RateUnit::degree_per_second);
  EXPECT_EQ(time_unit_from_string("us"), TimeUnit::microsecond);
  const auto unknown = rate_unit_from_string("rpm");
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().line(), "unknown unit \"rpm\"; use rad/s, deg/s or mdeg/s");
}

TEST_F(Import, FindsTheRateInRoundedTimes) {
  // 127.9 Hz, written with 4 decimals, a gap in the middle.
  std::string text = kHeader;
  for (int i = 0; i < 1000; ++i) {
    if (i >= 400 && i < 450) continue;
    char row[64];
    std::snprintf(row, sizeof row, "%.4f,0,0,9.8,0,0,0\n", i / 127.9);
    text += row;
  }
  const CsvImport import = must(text);
  EXPECT_NEAR(import.strap.rate_hz, 127.9, 0.005);
  EXPECT_EQ(import.report.gaps, 1U);
  EXPECT_NEAR(import.report.longest_gap_s, 51 / 127.9, 2e-4);
}

TEST_F(Import, MakesGapsOfMissingCellsAndSaysSo) {
  const CsvImport import = must(kHeader +
                                "0.00,1,1,1,0,0,0\n0.01,1,1,1,0,0,0\n0.02,,1,1,0,0,0\n"
                                "0.03,1,NaN,1,0,0,0\n0.04,1,1,1,0,0,0\n0.05,1,1,1,0,0,0\n");
  EXPECT_EQ(import.report.rows, 6U);
  EXPECT_EQ(import.report.dropped, 2U);
  EXPECT_EQ(import.report.gaps, 1U);
  EXPECT_EQ(import.strap.t.size(), 4);
  EXPECT_NEAR(import.strap.rate_hz, 100.0, 1e-9);
  EXPECT_EQ(to_series(import.strap).data.flags[2], dsp::kAfterGap);
  EXPECT_THAT(import.report.notes, ElementsAre(HasSubstr("2 of 6 samples"), HasSubstr("1 gaps")));
}

TEST_F(Import, TakesTheRateWhereThereIsNoTime) {
  const std::string text = "ax,ay,az,gx,gy,gz\n1,1,1,0,0,0\n,1,1,0,0,0\n1,1,1,0,0,0\n1,1,1,0,0,0\n";
  EXPECT_THAT(failure(text), HasSubstr("there is no column t; give the sample rate"));
  CsvOptions options;
  options.rate_hz = 50.0;
  const CsvImport import = must(text, options);
  EXPECT_EQ(import.strap.rate_hz, 50.0);
  EXPECT_EQ(import.strap.t, Eigen::Vector3d(0.0, 0.04, 0.06));  // the dropped row keeps its time
  options.rate_hz = -1.0;
  EXPECT_THAT(failure(text, options), HasSubstr("a rate of -1 Hz is not possible"));
}

TEST_F(Import, NamesARateThatContradictsTheTimes) {
  CsvOptions options;
  options.rate_hz = 200.0;
  const CsvImport import =
      must(kHeader + "0,1,1,1,0,0,0\n0.01,1,1,1,0,0,0\n0.02,1,1,1,0,0,0\n", options);
  EXPECT_EQ(import.strap.rate_hz, 200.0);
  EXPECT_THAT(import.report.notes,
              ::testing::Contains(HasSubstr("the times say 100 Hz, the rate given is 200 Hz")));
}

TEST_F(Import, BadInputIsNamedByLineAndColumn) {
  const std::string good = "0.00,1,2,3,4,5,6\n0.01,1,2,3,4,5,6\n";
  EXPECT_THAT(failure(kHeader + good + "0.02,1,2,3,4x,5,6\n"),
              HasSubstr("a.csv:4:gx: \"4x\" is not a number"));
  EXPECT_THAT(failure(kHeader + good + "0.02,1,2,3,4,5,inf\n"), HasSubstr("a.csv:4:gz: \"inf\""));
  EXPECT_THAT(failure(kHeader + good + "0.02,1,2,1e999,4,5,6\n"),
              HasSubstr("a.csv:4:az: \"1e999\""));
  EXPECT_THAT(failure(kHeader + good + "0.02,1,2\n"),
              HasSubstr("a.csv:4: has 3 cells where the header has 7"));
  EXPECT_THAT(failure(kHeader + good + "0.01,1,2,3,4,5,6\n"),
              HasSubstr("a.csv:4:t: time 0.01 s does not come after 0.01 s of line 3"));
  EXPECT_THAT(failure(kHeader + good + "\n0.02,1,2,3,4,5,6\n"), HasSubstr("a.csv:4: a blank line"));
  EXPECT_THAT(failure("t,ax,ay,az,gx,gy\n" + good), HasSubstr("a.csv:1: there is no column gz"));
  EXPECT_THAT(failure("t,ax,ay,az,gx,gy,gz,ax\n"), HasSubstr("a.csv:1: two columns are called ax"));
  EXPECT_THAT(failure(""), HasSubstr("there is no header line"));
  EXPECT_THAT(failure(kHeader), HasSubstr("holds 0 complete samples"));
  EXPECT_THAT(failure(kHeader + "1e300,1,2,3,4,5,6\n2e300,1,2,3,4,5,6\n"),
              HasSubstr("out of range"));
  const auto missing = import_csv(folder_ / "none.csv", kThigh, {});
  ASSERT_FALSE(missing);
  EXPECT_THAT(missing.error().line(), HasSubstr("none.csv: no such file"));
}

TEST_F(Import, SeveralStrapsKeepTheirOwnTimes) {
  testing::put(folder_ / "thigh.csv",
               kHeader + "0,1,1,1,0,0,0\n0.01,1,1,1,0,0,0\n0.02,1,1,1,0,0,0\n");
  testing::put(folder_ / "shank.csv", kHeader + "0.005,1,1,1,0,0,0\n0.045,1,1,1,0,0,0\n");
  const std::vector<SensorFile> files{
      {kThigh, folder_ / "thigh.csv"},
      {{dsp::Segment::shank, dsp::Side::left}, folder_ / "shank.csv"}};
  Recording frame;
  frame.description.client = "stretcher lead";
  frame.parts.set = dsp::Interval{0.0, 0.04};
  const auto set = import_recording(files, {}, frame);
  ASSERT_TRUE(set) << set.error().line();
  EXPECT_EQ(set->recording.source, "imported");
  EXPECT_EQ(set->recording.straps[0].t.size(), 3);
  EXPECT_EQ(set->recording.straps[1].t[0], 0.005);
  EXPECT_NEAR(set->recording.straps[0].rate_hz, 100.0, 1e-9);
  EXPECT_NEAR(set->recording.straps[1].rate_hz, 25.0, 1e-9);

  frame.parts.set = dsp::Interval{0.0, 5.0};
  const auto outside = import_recording(files, {}, frame);
  ASSERT_FALSE(outside);
  EXPECT_THAT(outside.error().line(), HasSubstr("lies outside the recording"));
  EXPECT_THAT(import_recording({}, {}, frame).error().line(), HasSubstr("no sensor file"));
  const auto twice = import_recording({files[0], files[0]}, {}, frame);
  ASSERT_FALSE(twice);
}

TEST(DecimalScale, RoundTripsEveryCountThatFits) {
  std::mt19937 random(1);
  std::uniform_int_distribution<std::int32_t> any(std::numeric_limits<std::int32_t>::min() + 1,
                                                  std::numeric_limits<std::int32_t>::max());
  for (int decimals = 0; decimals <= 12; ++decimals) {
    const DecimalScale scale{decimals};
    for (int i = 0; i < 2000; ++i) {
      const std::int32_t count = any(random);
      ASSERT_EQ(scale.count(scale.value(count)), count) << decimals;
    }
  }
}

}  // namespace
}  // namespace strapline::recordings
