#include "../../cli/src/rep_matching.hpp"

#include <gtest/gtest.h>

namespace strapline::cli {
namespace {

recordings::synthetic::RepTruth truth_from(double start_s) {
  recordings::synthetic::RepTruth rep;
  rep.start_s = start_s;
  rep.turn_in_s = rep.turn_s = start_s + 1.0;
  rep.turn_out_s = start_s + 1.2;
  rep.end_s = start_s + 2.0;
  return rep;
}

dsp::Rep seen_from(double start_s) {
  dsp::Rep rep;
  rep.start_s = start_s;
  rep.turn_in_s = start_s + 1.0;
  rep.turn_out_s = start_s + 1.2;
  rep.end_s = start_s + 2.0;
  return rep;
}

TEST(RepMatching, TellsWhereTheNextRepIsTheSame) {
  const std::vector truth{truth_from(1.0), truth_from(4.0), truth_from(7.0), truth_from(10.0)};
  const std::vector seen{seen_from(1.1), seen_from(4.1), seen_from(10.1)};  // the third is missed
  const RepMatch match = match_reps(truth, seen);
  ASSERT_EQ(match.full.size(), 3U);
  EXPECT_EQ(match.missed, 1);
  EXPECT_TRUE(match.full[0].same_next);
  EXPECT_FALSE(match.full[1].same_next);
  EXPECT_FALSE(match.full[2].same_next);  // none follows
}

TEST(RepMatching, AnInventedRepIsNotTheNext) {
  const std::vector truth{truth_from(1.0), truth_from(9.0)};
  const std::vector seen{seen_from(1.0), seen_from(5.0), seen_from(9.0)};
  const RepMatch match = match_reps(truth, seen);
  ASSERT_EQ(match.full.size(), 2U);
  EXPECT_EQ(match.invented, 1);
  EXPECT_FALSE(match.full[0].same_next);
}

}  // namespace
}  // namespace strapline::cli
