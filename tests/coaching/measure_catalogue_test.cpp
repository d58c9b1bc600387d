#include "strapline/coaching/measure_catalogue.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace strapline::coaching {
namespace {

TEST(MeasureCatalogue, TakesFullNamesApart) {
  const auto name = parse_measure_name("knee_line_distance_at_turn_left");
  ASSERT_TRUE(name);
  EXPECT_EQ(name->base, "knee_line_distance");
  EXPECT_EQ(name->statistic, "at_turn");
  EXPECT_EQ(name->side, dsp::Side::left);

  const auto plain = parse_measure_name("trunk_lean");
  ASSERT_TRUE(plain);
  EXPECT_EQ(plain->base, "trunk_lean");
  EXPECT_TRUE(plain->statistic.empty());
  EXPECT_EQ(plain->side, dsp::Side::middle);

  const auto both = parse_measure_name("knee_line_distance_at_turn_difference");
  ASSERT_TRUE(both);
  EXPECT_EQ(both->base, "knee_line_distance");
  EXPECT_EQ(both->statistic, "at_turn_difference");
  EXPECT_EQ(both->side, dsp::Side::middle);
  EXPECT_EQ(parse_measure_name("thigh_depth_curve_sd_left")->statistic, "curve_sd");
  EXPECT_EQ(parse_measure_name("velocity_loss")->base, "velocity_loss");

  EXPECT_FALSE(parse_measure_name("knee_lines"));
  EXPECT_FALSE(parse_measure_name("_left"));
  EXPECT_FALSE(parse_measure_name(""));
}

TEST(MeasureCatalogue, EveryBaseNameIsReadBackWithEverySide) {
  for (const MeasureInfo& info : all_measures()) {
    for (const dsp::Side side : {dsp::Side::middle, dsp::Side::left, dsp::Side::right}) {
      const auto name = parse_measure_name(std::string(info.name) + dsp::side_suffix(side));
      ASSERT_TRUE(name) << info.name;
      EXPECT_EQ(name->base, info.name);
      EXPECT_EQ(name->side, side);
    }
  }
}

TEST(MeasureCatalogue, TitlesNameStatisticAndSide) {
  EXPECT_EQ(measure_title("knee_line_distance_at_turn_right"),
            "knee line (distance), at the turn, right");
  EXPECT_EQ(measure_title("knee_line_distance_at_turn_difference"),
            "knee line (distance), at the turn, left less right");
  EXPECT_EQ(measure_title("knee_flexion_sd_left"), "knee flexion, spread from rep to rep, left");
  EXPECT_EQ(measure_title("something_new"), "something_new");
}

TEST(MeasureCatalogue, ShownInCatalogueOrderWithUnknownNamesLast) {
  std::vector<std::string> names{"zzz", "lowering_s", "knee_flexion_right", "knee_flexion_left",
                                 "thigh_depth_left"};
  std::sort(names.begin(), names.end(), shown_before);
  const std::vector<std::string> expected{"thigh_depth_left", "knee_flexion_left",
                                          "knee_flexion_right", "lowering_s", "zzz"};
  EXPECT_EQ(names, expected);
}

}  // namespace
}  // namespace strapline::coaching
