#include "strapline/dsp/placement.hpp"

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

TEST(Placement, NamesAndPlacementsAreInverse) {
  for (const Placement placement : all_placements()) {
    EXPECT_EQ(placement_from_string(to_string(placement)), placement) << to_string(placement);
  }
}

TEST(Placement, SidedSegmentsHaveNoMiddle) {
  EXPECT_TRUE(placement_from_string("left_thigh"));
  EXPECT_FALSE(placement_from_string("thigh"));
  EXPECT_FALSE(placement_from_string("left_chest"));
  EXPECT_FALSE(placement_from_string(""));
}

}  // namespace
}  // namespace strapline::dsp
