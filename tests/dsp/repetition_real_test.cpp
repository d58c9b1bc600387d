// Open recordings with labels (see the data folder's own README for their sources): whole
// recordings, one strap, nothing told of when the set begins.
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "strapline/dsp/set_analysis.hpp"

namespace strapline::dsp {
namespace {

namespace fs = std::filesystem;

fs::path reps_folder() {
  const char* given = std::getenv("STRAPLINE_DATA");
  const fs::path root = STRAPLINE_ROOT;
  return (given != nullptr ? fs::path(given) : root.parent_path() / "shared" / "data") / "reps";
}

std::vector<std::vector<std::string>> rows_of(const fs::path& file) {
  std::vector<std::vector<std::string>> rows;
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    std::istringstream cut(line);
    rows.emplace_back();
    for (std::string cell; std::getline(cut, cell, ',');) rows.back().push_back(cell);
  }
  return rows;
}

SetAnalysis analysed(const fs::path& file) {
  const auto rows = rows_of(file);
  const auto n = static_cast<Eigen::Index>(rows.size());
  InertialSeries series{Eigen::VectorXd(n), Eigen::Matrix3Xd(3, n), Eigen::Matrix3Xd(3, n), {}};
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto& row = rows[static_cast<std::size_t>(i)];
    series.t[i] = std::stod(row[0]);
    for (Eigen::Index k = 0; k < 3; ++k) {
      series.acc(k, i) = std::stod(row[static_cast<std::size_t>(1 + k)]);
      series.gyr(k, i) = std::stod(row[static_cast<std::size_t>(4 + k)]);
    }
  }
  SetInput input;
  input.straps = {{{Segment::other, Side::middle}, std::move(series), {}}};
  input.movement = {"free", RangeAngle::strongest_turn, FirstPhase::lowering, {}, {}, 0.14};
  const auto result = analyse_set(input);
  return result ? *result : SetAnalysis{};
}

TEST(RealReps, SitToStandIsExactWithEachBodySensor) {
  const fs::path folder = reps_folder() / "sit_to_stand" / "subject_01";
  if (!fs::exists(folder)) GTEST_SKIP() << folder << " is missing";
  const std::size_t stands = rows_of(folder / "seat_off.csv").size();
  for (int k = 1; k <= 5; ++k) {
    const auto set = analysed(folder / ("sensor" + std::to_string(k) + ".csv"));
    EXPECT_EQ(set.full_reps(), static_cast<int>(stands)) << "sensor " << k;
  }
}

TEST(RealReps, NormalFastAndLowRepsOfOneLimbAreAllFound) {
  const fs::path folder = reps_folder() / "therapy";
  if (!fs::exists(folder)) GTEST_SKIP() << folder << " is missing";
  for (const char* file : {"s1_e1/right_shank", "s1_e3/right_shank", "s1_e6/forearm",
                           "s4_e1/right_shank", "s4_e3/right_shank", "s4_e8/forearm"}) {
    // Low ones are reps too, whether or not they reach half of the usual range.
    EXPECT_EQ(analysed(folder / (std::string(file) + ".csv")).reps.size(), 30U) << file;
  }
}

}  // namespace
}  // namespace strapline::dsp
