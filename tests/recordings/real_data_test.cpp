// Open research data, outside the project: see the README of the data folder for sources.
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "strapline/recordings/check.hpp"
#include "strapline/recordings/import_csv.hpp"
#include "strapline/recordings/recording_file.hpp"

#include "sample.hpp"

namespace strapline::recordings {
namespace {

std::filesystem::path data_folder() {
  if (const char* given = std::getenv("STRAPLINE_DATA")) return given;
  return std::filesystem::path(STRAPLINE_ROOT) / "../shared/data";
}

// The values of a file with the plain header t,ax,…,gz, read with the standard library.
std::vector<std::vector<double>> plain_rows(const std::filesystem::path& file) {
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  std::vector<std::vector<double>> rows;
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::vector<double> row;
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(std::stod(cell));
    rows.push_back(row);
  }
  return rows;
}

void expect_same_values(const dsp::InertialSeries& series, const std::filesystem::path& file) {
  const auto rows = plain_rows(file);
  ASSERT_EQ(static_cast<std::size_t>(series.size()), rows.size());
  double worst = 0.0;
  for (Eigen::Index i = 0; i < series.size(); ++i) {
    const auto& row = rows[static_cast<std::size_t>(i)];
    ASSERT_EQ(series.t[i], row[0]);
    for (Eigen::Index c = 0; c < 3; ++c) {
      worst = std::max(worst, std::abs(series.acc(c, i) - row[static_cast<std::size_t>(c + 1)]));
      worst = std::max(worst, std::abs(series.gyr(c, i) - row[static_cast<std::size_t>(c + 4)]));
    }
  }
  EXPECT_LT(worst, 1e-13);  // every digit of the text; only the last bits of a double may differ
}

TEST(RealData, EightStrapsOfASitToStandBlock) {
  const auto block = data_folder() / "joints/knee_lab/block1";
  if (!std::filesystem::exists(block)) GTEST_SKIP() << "SKIPPED: no data at " << block;
  std::vector<SensorFile> files;
  for (const char* name : {"chest", "pelvis", "left_thigh", "right_thigh", "left_shank",
                           "right_shank", "left_foot", "right_foot"}) {
    files.push_back({*dsp::placement_from_string(name), block / (std::string(name) + ".csv")});
  }
  Recording frame;
  frame.description.client = "stretcher lead";
  const auto set = import_recording(files, {}, frame);
  ASSERT_TRUE(set) << set.error().line();
  const testing::Folder folder;
  ASSERT_TRUE(write_recording(folder / "block1.h5", set->recording));
  const auto read = read_recording(folder / "block1.h5");
  ASSERT_TRUE(read) << read.error().line();
  ASSERT_EQ(read->straps.size(), 8U);
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_NEAR(read->straps[i].rate_hz, 40.0, 1e-6);
    EXPECT_EQ(set->reports[i].dropped, 0U);
    EXPECT_EQ(set->reports[i].acc_rounding, 0.0);
    EXPECT_EQ(set->reports[i].gyr_rounding, 0.0);
    expect_same_values(to_series(read->straps[i]).data, files[i].file);
  }
  for (const Finding& finding : check_recording(folder / "block1.h5")) {
    EXPECT_EQ(finding.severity, Severity::note) << finding.text;
  }
}

// Every sensor file of the collection with the plain header goes in.
TEST(RealData, EverySensorFileIsTaken) {
  const auto data = data_folder();
  if (!std::filesystem::exists(data / "reps")) GTEST_SKIP() << "SKIPPED: no data at " << data;
  int files = 0;
  int exact = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(data)) {
    if (entry.path().extension() != ".csv") continue;
    std::ifstream in(entry.path());
    std::string header;
    std::getline(in, header);
    if (header != "t,ax,ay,az,gx,gy,gz") continue;
    const auto import = import_csv(entry.path(), {}, {});
    ASSERT_TRUE(import) << import.error().line();
    // Half a count of the promised scales, where six significant digits of a value near zero reach
    // below what 32 bits can hold beside the largest value.
    EXPECT_LE(import->report.acc_rounding, 0.5e-6) << entry.path();
    EXPECT_LE(import->report.gyr_rounding, 0.5e-7) << entry.path();
    if (import->report.acc_rounding == 0.0 && import->report.gyr_rounding == 0.0) ++exact;
    ++files;
  }
  RecordProperty("files", files);
  RecordProperty("exact", exact);
  EXPECT_GT(files, 100);
}

}  // namespace
}  // namespace strapline::recordings
