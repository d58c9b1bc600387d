// Our files read by h5py and h5dump (the HDF Group's own), and a file that h5py made from SCHEMA.md
// alone read by us. The scripts are in tests/reference.
#include <array>
#include <cstdio>
#include <fstream>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "strapline/recordings/logbook.hpp"
#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/results.hpp"

#include "sample.hpp"
#include "schema.hpp"

namespace strapline::recordings {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

const std::string kRoot = STRAPLINE_ROOT;

std::string output_of(const std::string& command) {
  std::FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return {};
  std::string out;
  std::array<char, 4096> block;
  for (std::size_t n = 0; (n = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
    out.append(block.data(), n);
  }
  EXPECT_EQ(pclose(pipe), 0) << command;
  return out;
}

bool have_h5py() { return std::system("/usr/bin/python3 -c 'import h5py' 2>/dev/null") == 0; }

class Reference : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!have_h5py()) GTEST_SKIP() << "SKIPPED: /usr/bin/python3 has no h5py";
  }
  json read(const std::string& name) {
    return json::parse(output_of("/usr/bin/python3 " + kRoot +
                                 "/tests/reference/read_recording.py --json " +
                                 (folder_ / name).string()));
  }
  std::vector<std::string> names_in(const std::string& name) {
    std::istringstream lines(output_of("/usr/bin/python3 " + kRoot +
                                       "/tests/reference/read_recording.py --names " +
                                       (folder_ / name).string()));
    std::vector<std::string> names;
    for (std::string line; std::getline(lines, line);) names.push_back(line);
    return names;
  }
  testing::Folder folder_;
};

TEST_F(Reference, H5pyReadsTheReadings) {
  const Recording recording = testing::full_recording();
  ASSERT_TRUE(write_recording(folder_ / "a.h5", recording));
  const json file = read("a.h5");
  const StrapRecord& strap = recording.straps[0];
  const json& group = file["straps"]["left_thigh"];
  EXPECT_EQ(group["counts"]["shape"], json({213, 6}));  // rows are samples
  EXPECT_EQ(group["counts"]["dtype"], "int32");
  EXPECT_EQ(group["counts"]["attrs"]["unit"], "count");
  EXPECT_EQ(group["counts"]["attrs"]["acc_scale"], strap.acc_scale);
  EXPECT_EQ(group["tick"]["dtype"], "int64");
  EXPECT_EQ(group["time"]["attrs"]["unit"], "s");
  EXPECT_EQ(group["attrs"]["device_id"], strap.device_id);
  for (Eigen::Index i = 0; i < 213; ++i) {
    const auto row = static_cast<std::size_t>(i);
    ASSERT_EQ(group["time"]["data"][row], strap.t[i]);
    ASSERT_EQ(group["tick"]["data"][row], strap.tick[row]);
    for (Eigen::Index c = 0; c < 6; ++c) {
      ASSERT_EQ(group["counts"]["data"][row][static_cast<std::size_t>(c)], strap.counts(c, i));
    }
  }
  for (const char* name : {"counts", "tick", "time"}) {
    EXPECT_EQ(group[name]["filters"], json({true, "gzip", true})) << name;
    EXPECT_TRUE(group[name]["chunked"]) << name;
  }
}

TEST_F(Reference, H5pyReadsTheDescription) {
  ASSERT_TRUE(write_recording(folder_ / "a.h5", testing::full_recording()));
  const json file = read("a.h5");
  EXPECT_EQ(file["attrs"]["format"], "strapline-recording");
  EXPECT_EQ(file["attrs"]["schema_major"], 1);
  EXPECT_EQ(file["set"]["attrs"]["client"], "winch operator");
  EXPECT_EQ(file["set"]["attrs"]["load_kg"], 62.5);
  EXPECT_EQ(file["set"]["attrs"]["notes"], "slow – felt “good”, ça va");
  EXPECT_EQ(file["body"]["attrs"]["height_m"], 1.78);
  EXPECT_EQ(file["parts"]["attrs"]["set_s"].size(), 2U);
  EXPECT_EQ(file["straps"]["left_thigh"]["link"]["attrs"]["late"], 4);
  EXPECT_EQ(file["truth_json"]["shape"][0], testing::full_recording().truth_json.size());
}

TEST_F(Reference, H5pyReadsResultsAndLogbook) {
  ASSERT_TRUE(write_recording(folder_ / "a.h5", testing::full_recording()));
  ASSERT_TRUE(write_results(folder_ / "a.h5", testing::sample_analysis()));
  const json results = read("a.h5")["results"];
  EXPECT_EQ(results["attrs"]["algorithm"], "squat 0.1");
  EXPECT_EQ(results["reps"]["start"]["data"], json({1.0, 4.0, 7.0}));
  EXPECT_EQ(results["reps"]["part"]["data"], json({0, 0, 1}));
  EXPECT_EQ(results["reps"]["side"]["data"], json({"left", "right", ""}));
  EXPECT_EQ(results["set"]["measures"]["velocity_loss"]["value"]["data"], json({0.12}));
  EXPECT_EQ(results["clusters"]["first_rep"]["data"], json({1, 3}));
  EXPECT_EQ(results["clusters"]["pause"]["data"], json({0.0, 12.5}));
  const json& travel = results["reps"]["measures"]["knee_travel_left"];
  EXPECT_EQ(travel["value"]["data"], json({nullptr, -0.02, nullptr}));
  EXPECT_EQ(travel["value"]["attrs"]["unit"], "m");
  EXPECT_EQ(travel["reason"]["data"], json({"no foot length; give the height", "", ""}));

  const LoggedSet set =
      make_logged_set(testing::full_recording(), "a.h5", testing::sample_analysis());
  ASSERT_TRUE(append_to_logbook(folder_ / "book.h5", set));
  const json book = read("book.h5");
  EXPECT_EQ(book["sets"]["set_id"]["data"], json({set.set_id}));
  EXPECT_EQ(book["sets"]["load"]["data"], json({62.5}));
  EXPECT_EQ(book["sets"]["load"]["attrs"]["unit"], "kg");
  EXPECT_TRUE(book["sets"]["load"]["extendible"]);
  EXPECT_EQ(book["reps"]["rep"]["data"], json({1, 2, 3}));
  EXPECT_EQ(book["reps"]["side"]["data"], json({"left", "right", ""}));
  EXPECT_EQ(book["clusters"]["reps"]["data"], json({2, 1}));
  EXPECT_EQ(book["whole_set"]["measure"]["data"],
            json({"knee_travel_difference", "velocity_loss"}));
  EXPECT_EQ(book["whole_set"]["value"]["data"], json({nullptr, 0.12}));
  EXPECT_EQ(book["set_measures"]["measure"]["data"],
            json({"knee_travel_left", "lowering_s", "thigh_depth_left"}));
  EXPECT_EQ(book["set_measures"]["sd"]["data"][0], nullptr);
}

TEST_F(Reference, WeReadWhatH5pyMadeFromTheSchema) {
  const auto file = folder_ / "theirs.h5";
  output_of("/usr/bin/python3 " + kRoot + "/tests/reference/write_recording.py " + file.string());
  const auto read = read_recording(file);
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_EQ(read->description.client, "stretcher lead");
  EXPECT_EQ(read->description.notes, "ä note – with “signs”");
  EXPECT_EQ(read->description.load_kg, 40.0);
  EXPECT_EQ(read->description.pain, 0.0);
  EXPECT_FALSE(read->description.effort_rpe);
  EXPECT_EQ(read->parts.set->to_s, 10.06);
  ASSERT_EQ(read->straps.size(), 2U);
  const StrapRecord& strap = read->straps[1];
  EXPECT_EQ(dsp::to_string(read->straps[0].placement), "right_shank");
  EXPECT_EQ(dsp::to_string(strap.placement), "left_thigh");
  EXPECT_EQ(strap.device_id, 0xFFFFFFFFFFFFFFFEULL);
  EXPECT_EQ(strap.tick_hz, 32768.0);
  EXPECT_EQ(strap.errors.reading_lag, 0.004);  // a file that does not say
  EXPECT_EQ(strap.errors.gyr_gain_sd, 0.0075);
  EXPECT_EQ(strap.errors.acc_cross_axis_sd, 0.003);
  ASSERT_EQ(strap.counts.cols(), 7);
  for (int i = 0; i < 7; ++i) {
    for (int c = 0; c < 6; ++c) ASSERT_EQ(strap.counts(c, i), 6 * i + c - 19);
  }
  EXPECT_EQ(strap.tick.back(), 6 * 328);
  EXPECT_EQ(strap.t[6], 10.06);

  // Results go into such a file too, and what we do not know stays.
  ASSERT_TRUE(write_results(file, testing::sample_analysis()));
  const json after = this->read("theirs.h5");
  EXPECT_EQ(after["attrs"]["x_colour"], "amber");
  EXPECT_EQ(after["x_own"]["deeper"]["thing"]["data"], json({0, 1, 2}));
  testing::expect_equal(testing::sample_analysis(), *read_results(file));
}

// SCHEMA.md and the program agree: every name in our files stands in it, and so do the versions.
TEST_F(Reference, TheSchemaPageNamesEverything) {
  std::ifstream page(kRoot + "/recordings/SCHEMA.md");
  const std::string text((std::istreambuf_iterator<char>(page)), std::istreambuf_iterator<char>());
  EXPECT_THAT(text, HasSubstr("**" + std::to_string(schema::kMajor) + "." +
                              std::to_string(schema::kMinor) + "**"));
  ASSERT_TRUE(write_recording(folder_ / "a.h5", testing::full_recording()));
  ASSERT_TRUE(write_results(folder_ / "a.h5", testing::sample_analysis()));
  const auto set = make_logged_set(testing::full_recording(), "a.h5", testing::sample_analysis());
  ASSERT_TRUE(append_to_logbook(folder_ / "book.h5", set));
  int checked = 0;
  for (const char* file : {"a.h5", "book.h5"}) {
    for (const std::string& path : names_in(file)) {
      const std::string name = path.substr(path.find_last_of("/@") + 1);
      // Names that the data gives, not the schema.
      if (path.starts_with("/results/parameters@") || path.starts_with("/results/traces/") ||
          path.starts_with("/results/reps/measures/thigh_depth_left") ||
          path.starts_with("/results/reps/measures/knee_travel_left") ||
          path.starts_with("/results/reps/measures/lowering_s") ||
          path.starts_with("/results/set/measures/velocity_loss") ||
          path.starts_with("/results/set/measures/knee_travel_difference")) {
        continue;
      }
      EXPECT_THAT(text, HasSubstr(name)) << path;
      ++checked;
    }
  }
  EXPECT_GT(checked, 100);
}

TEST(H5dump, ShowsOurFiles) {
  if (std::system("h5dump --version >/dev/null 2>&1") != 0) GTEST_SKIP() << "SKIPPED: no h5dump";
  const testing::Folder folder;
  ASSERT_TRUE(write_recording(folder / "a.h5", testing::full_recording()));
  const std::string header = output_of("h5dump -H -p " + (folder / "a.h5").string());
  EXPECT_THAT(header, HasSubstr("SIMPLE { ( 213, 6 ) / ( 213, 6 ) }"));
  EXPECT_THAT(header, HasSubstr("CHECKSUM FLETCHER32"));
  EXPECT_THAT(header, HasSubstr("COMPRESSION DEFLATE { LEVEL 6 }"));
  EXPECT_THAT(header, HasSubstr("PREPROCESSING SHUFFLE"));
  EXPECT_THAT(header, HasSubstr("H5T_STD_I32LE"));
}

}  // namespace
}  // namespace strapline::recordings
