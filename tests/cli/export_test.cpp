// What `export` writes, read back with the standard library only.
#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>
#include <utility>

#include <gmock/gmock.h>

#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/results.hpp"

#include "command_line.hpp"

namespace strapline::cli::testing {
namespace {

using ::testing::HasSubstr;

using Rows = std::vector<std::vector<std::string>>;

Rows rows_of(const std::string& text) {
  Rows rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::vector<std::string> cells;
    std::string cell;
    for (const char c : line + ",") {
      if (c == ',')
        cells.push_back(std::exchange(cell, {}));
      else
        cell += c;
    }
    rows.push_back(std::move(cells));
  }
  return rows;
}

/// q v q*, written out (Kuipers, Quaternions and Rotation Sequences, 1999, eq. 5.11).
std::array<double, 3> rotated(const std::array<double, 4>& q, const std::array<double, 3>& v) {
  const auto [w, x, y, z] = q;
  return {
      (2 * w * w - 1 + 2 * x * x) * v[0] + 2 * (x * y - w * z) * v[1] + 2 * (x * z + w * y) * v[2],
      2 * (x * y + w * z) * v[0] + (2 * w * w - 1 + 2 * y * y) * v[1] + 2 * (y * z - w * x) * v[2],
      2 * (x * z - w * y) * v[0] + 2 * (y * z + w * x) * v[1] + (2 * w * w - 1 + 2 * z * z) * v[2]};
}

class Export : public CommandTest {
 protected:
  /// Four seconds of a strap that lies still, tilted.
  std::string tilted() const {
    recordings::Recording recording;
    recording.description.client = "medic";
    recording.description.movement = "free";
    recordings::StrapRecord strap;
    strap.rate_hz = 100.0;
    strap.tick_hz = 1e6;
    strap.acc_scale = 0.001;
    strap.gyr_scale = 0.001;
    strap.counts = recordings::Counts::Zero(6, 400);
    strap.t.resize(400);
    for (int i = 0; i < 400; ++i) {
      strap.counts.col(i) << 5884, -4707, 6276, 0, 0, 0;  // 9.8066 m/s² along (0.6, −0.48, 0.64)
      strap.t[i] = 0.01 * i;
      strap.tick.push_back(10000 * i);
    }
    recording.straps.push_back(strap);
    EXPECT_TRUE(recordings::write_recording(at("tilted.h5"), recording));
    return at("tilted.h5");
  }
};

TEST_F(Export, ARestingStrapsSpecificForcePointsUp) {
  const std::string file = tilted();
  for (const char* kind : {"streaming", "smoothed"}) {
    const std::string csv = std::string(kind) + ".csv";
    const Outcome done = strapline({"export", file, "--orientation", kind, "-o", at(csv)});
    ASSERT_EQ(done.status, kDone) << done.err;
    const Rows rows = rows_of(bytes_of(csv));
    ASSERT_EQ(rows.size(), 401U);
    EXPECT_EQ(rows[0], (std::vector<std::string>{"placement", "t", "qw", "qx", "qy", "qz"}));
    for (std::size_t i = 1; i < rows.size(); ++i) {
      ASSERT_EQ(rows[i].size(), 6U);
      EXPECT_EQ(rows[i][0], "other");
      EXPECT_NEAR(std::stod(rows[i][1]), 0.01 * static_cast<double>(i - 1), 1e-12);
      const std::array<double, 4> q{std::stod(rows[i][2]), std::stod(rows[i][3]),
                                    std::stod(rows[i][4]), std::stod(rows[i][5])};
      EXPECT_NEAR(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3], 1.0, 1e-7);
      const auto force = rotated(q, {5.884, -4.707, 6.276});
      EXPECT_NEAR(force[0], 0.0, 1e-3);
      EXPECT_NEAR(force[1], 0.0, 1e-3);
      EXPECT_NEAR(force[2], 9.8066, 1e-3);
    }
  }
}

TEST_F(Export, AnglesAreThoseOfTheAnalysis) {
  const std::string file = synth("set.h5");
  ASSERT_EQ(strapline({"export", file, "--angles", "-o", at("angles.csv")}).status, kDone);
  ASSERT_EQ(strapline({"review", file, "--save", "--no-page"}).status, kDone);
  const auto analysis = recordings::read_results(file);
  ASSERT_TRUE(analysis.has_value()) << analysis.error().line();
  const Rows rows = rows_of(bytes_of("angles.csv"));
  ASSERT_EQ(rows.size(), static_cast<std::size_t>(analysis->t.size()) + 1);
  EXPECT_EQ(rows[0][0], "t");
  EXPECT_THAT(rows[0], ::testing::Contains("thigh_depth_left"));
  EXPECT_THAT(rows[0], ::testing::Not(::testing::Contains(HasSubstr("distance"))));  // no angle
  int compared = 0, unknown = 0;
  for (std::size_t column = 1; column < rows[0].size(); ++column) {
    const auto trace = std::find_if(analysis->traces.begin(), analysis->traces.end(),
                                    [&](const auto& t) { return t.name == rows[0][column]; });
    ASSERT_NE(trace, analysis->traces.end()) << rows[0][column];
    for (std::size_t i = 1; i < rows.size(); ++i) {
      ASSERT_EQ(rows[i].size(), rows[0].size());
      const double value = trace->value[static_cast<Eigen::Index>(i - 1)];
      if (rows[i][column].empty()) {
        ASSERT_TRUE(std::isnan(value));
        ++unknown;
        continue;
      }
      ASSERT_NEAR(std::stod(rows[i][column]), value * 180.0 / 3.14159265358979324, 1e-6);
      ++compared;
    }
  }
  EXPECT_GT(compared, 1000);
  RecordProperty("unknown", unknown);
}

TEST_F(Export, KeepsWhatIsThereUnlessToldOtherwise) {
  const std::string file = tilted();
  put("there.csv", "mine");
  const std::vector<std::string> line{"export",   file, "--orientation",
                                      "smoothed", "-o", at("there.csv")};
  expect_refused(strapline(line), kFailed,
                 "strapline: " + at("there.csv") +
                     ": the file exists already; choose another name, or give --overwrite");
  EXPECT_EQ(bytes_of("there.csv"), "mine");
  std::vector<std::string> forced = line;
  forced.emplace_back("--force");
  EXPECT_EQ(strapline(forced).status, kDone);
  EXPECT_NE(bytes_of("there.csv"), "mine");
  const std::string before = bytes_of("tilted.h5");
  EXPECT_EQ(strapline({"export", file, "--orientation", "smoothed", "-o", file, "--force"}).status,
            kFailed);
  EXPECT_EQ(bytes_of("tilted.h5"), before);
}

TEST_F(Export, WrongLinesAreOneClearLine) {
  const std::string file = tilted();
  expect_refused(strapline({"export", file, "-o", at("a.csv")}), kFailed,
                 "strapline: export: give one of --orientation, --angles and --reps");
  expect_refused(strapline({"export", at("no.h5"), "--angles", "-o", at("a.csv")}), kFailed,
                 "strapline: " + at("no.h5") + ": no such file; check the name");
  EXPECT_EQ(strapline({"export", file, "--orientation", "best", "-o", at("a.csv")}).status, kUsage);
}

}  // namespace
}  // namespace strapline::cli::testing
