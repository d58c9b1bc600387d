#include "digest.hpp"

#include <gtest/gtest.h>

#include "strapline/recordings/recording_file.hpp"

#include "sample.hpp"

namespace strapline::recordings {
namespace {

// 64-bit FNV-1a vectors of draft-eastlake-fnv (test suite of Fowler, Noll, Vo); from memory,
// recomputed with an independent implementation.
TEST(Digest, AgreesWithPublishedVectors) {
  const auto digest = [](std::string_view text) {
    Digest d;
    d.add(text);
    return d.hex();
  };
  EXPECT_EQ(digest(""), "cbf29ce484222325");
  EXPECT_EQ(digest("a"), "af63dc4c8601ec8c");
  EXPECT_EQ(digest("foobar"), "85944171f73967e8");
}

TEST(SetId, ChangesWithTheReadingsOnly) {
  const Recording original = testing::full_recording();
  const std::string id = set_id(original);
  EXPECT_EQ(id.size(), 16U);

  Recording noted = original;
  noted.description.load_kg = 99.0;
  noted.description.notes = "corrected";
  std::swap(noted.straps[0], noted.straps[1]);
  EXPECT_EQ(set_id(noted), id);

  Recording other = original;
  other.straps[1].counts(5, 96) += 1;
  EXPECT_NE(set_id(other), id);
  other = original;
  other.straps[0].tick.back() += 1;
  EXPECT_NE(set_id(other), id);
  other = original;
  other.description.started_utc = "2026-11-26T08:00:00Z";
  EXPECT_NE(set_id(other), id);
}

}  // namespace
}  // namespace strapline::recordings
