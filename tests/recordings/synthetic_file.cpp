// A synthetic set is an ordinary recording: valid, and whole after a file.
#include <filesystem>

#include <gtest/gtest.h>
#include <unistd.h>

#include "strapline/recordings/recording_file.hpp"
#include "strapline/recordings/validate.hpp"

#include "synthetic_sets.hpp"

namespace strapline::recordings::synthetic {
namespace {

TEST(SyntheticFile, RandomSetsPassTheRoomsOwnValidation) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const Recording recording = synthesize(random_squat_params(seed)).value();
    for (const dsp::Failure& problem : problems(recording)) ADD_FAILURE() << problem.line();
  }
}

TEST(SyntheticFile, CountsTicksAndTruthSurviveAFile) {
  SquatSetParams params = exact_params();
  params.description.client = "winch operator";
  params.description.load_kg = 40.0;
  const Recording made = synthesize(params).value();
  const auto path =
      std::filesystem::temp_directory_path() / ("synthetic_" + std::to_string(::getpid()) + ".h5");
  ASSERT_TRUE(write_recording(path, made));
  const auto read = read_recording(path);
  std::filesystem::remove(path);
  ASSERT_TRUE(read) << read.error().line();
  ASSERT_EQ(read->straps.size(), made.straps.size());
  for (std::size_t k = 0; k < made.straps.size(); ++k) {
    EXPECT_EQ(read->straps[k].counts, made.straps[k].counts);
    EXPECT_EQ(read->straps[k].tick, made.straps[k].tick);
    EXPECT_EQ(read->straps[k].part_name, made.straps[k].part_name);
  }
  EXPECT_EQ(read->truth_json, made.truth_json);
  EXPECT_EQ(read->description.client, "winch operator");
  EXPECT_EQ(read->description.load_kg, 40.0);
}

}  // namespace
}  // namespace strapline::recordings::synthetic
