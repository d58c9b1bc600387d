#include "../../dsp/src/rep_borders.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;

/// A strap that turns there and back, as a raised cosine does, for `way_s` each way.
struct Swing {
  double start_s, way_s, hold_s, range;
  [[nodiscard]] double end_s() const { return start_s + 2.0 * way_s + hold_s; }
  [[nodiscard]] double at(double time_s) const {
    const double in = std::min(time_s - start_s, way_s), out = std::min(end_s() - time_s, way_s);
    const double part = std::min(in, out) / way_s;
    return part <= 0.0 ? 0.0 : 0.5 * range * (1.0 - std::cos(std::numbers::pi * part));
  }
};

VectorXd angle_of(const VectorXd& t, const std::vector<Swing>& swings) {
  VectorXd angle = VectorXd::Zero(t.size());
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    for (const Swing& s : swings) angle[i] += s.at(t[i]);
  }
  return angle;
}

/// An excursion as it was told before.
Excursion told(const VectorXd& t, double from_s, double turn_s, double to_s) {
  Excursion e;
  e.start.time_s = from_s;
  e.turn_in.time_s = turn_s;
  e.turn_out.time_s = turn_s;
  e.end.time_s = to_s;
  e.turn_index = nearest_index(t, turn_s);
  e.range = 0.5;
  return e;
}

class RepBorders : public ::testing::Test {
 protected:
  RepBorders() : work(work_on(input, VectorXd::LinSpaced(4001, 0.0, 40.0))) {}

  void turn(const std::vector<Swing>& swings) { work.range_angle = angle_of(work.t, swings); }
  void tell(double from_s, double turn_s, double to_s) {
    work.excursions.push_back(told(work.t, from_s, turn_s, to_s));
  }
  const std::vector<Excursion>& found() {
    find_borders_anew(work, {});
    return work.excursions;
  }
  /// Where the rate of a raised cosine falls below a twentieth of its peak.
  static double after_start(double way_s) { return way_s * std::asin(0.05) / std::numbers::pi; }

  SetInput input;
  SetWork work;
};

TEST_F(RepBorders, AGrindThatItsStretchCutShortEndsWhereTheStrapIsBack) {
  turn({{5.0, 1.0, 0.5, 0.8}, {9.0, 1.0, 0.5, 0.8}, {13.0, 1.0, 0.5, 0.8}});
  tell(5.0, 6.25, 7.5);
  tell(9.0, 10.25, 11.5);
  tell(13.0, 14.25, 15.0);  // half a second short
  const Excursion& last = found().back();
  EXPECT_NEAR(last.start.time_s, 13.0 + after_start(1.0), 0.02);
  EXPECT_NEAR(last.turn_in.time_s, 14.0 - after_start(1.0), 0.02);
  EXPECT_NEAR(last.turn_out.time_s, 14.5 + after_start(1.0), 0.02);
  EXPECT_NEAR(last.end.time_s, 15.5 - after_start(1.0), 0.02);
  EXPECT_NEAR(last.range, 0.8, 0.01);
}

TEST_F(RepBorders, StepsThatLeadToTheSetAreNotOfItsFirstRep) {
  turn({{1.0, 0.3, 0.0, 0.6},
        {1.8, 0.3, 0.0, 0.6},
        {5.0, 1.0, 0.5, 0.5},
        {9.0, 1.0, 0.5, 0.5},
        {13.0, 1.0, 0.5, 0.5}});
  tell(1.0, 6.25, 7.5);
  tell(9.0, 10.25, 11.5);
  tell(13.0, 14.25, 15.5);
  EXPECT_NEAR(found().front().start.time_s, 5.0 + after_start(1.0), 0.02);
}

TEST_F(RepBorders, WhatRisesHasTheBordersOfItsTurn) {
  work.rises = true;
  turn({{5.0, 1.0, 0.5, 0.06}, {9.0, 1.0, 0.5, 0.06}, {13.0, 1.0, 0.5, 0.06}});
  for (const double from_s : {5.0, 9.0, 13.0}) tell(from_s + 0.3, from_s + 1.25, from_s + 2.2);
  for (std::size_t k = 0; k < 3; ++k) {
    const double from_s = 5.0 + 4.0 * static_cast<double>(k);
    EXPECT_NEAR(found()[k].start.time_s, from_s + after_start(1.0), 0.03);
    EXPECT_NEAR(found()[k].end.time_s, from_s + 2.5 - after_start(1.0), 0.03);
  }
}

TEST_F(RepBorders, ATurnThatDithersTellsNone) {
  turn({{5.0, 1.0, 0.5, 0.3}, {9.0, 1.0, 0.5, 0.3}, {13.0, 1.0, 0.5, 0.3}});
  for (Eigen::Index i = 0; i < work.t.size(); ++i)
    work.range_angle[i] += 0.04 * std::sin(9 * work.t[i]);
  for (const double from_s : {5.0, 9.0, 13.0}) tell(from_s + 0.3, from_s + 1.25, from_s + 2.2);
  EXPECT_EQ(found()[1].start.time_s, 9.3);
  EXPECT_EQ(found()[1].end.time_s, 11.2);
}

TEST_F(RepBorders, WhereMostDitherTheOneThatDoesNotKeepsItsOwnToo) {
  // Borders of two kinds in one set would compare its tempo with nothing.
  turn({{5.0, 1.0, 0.5, 0.3}, {9.0, 1.0, 0.5, 0.3}, {13.0, 1.0, 0.5, 0.3}});
  for (Eigen::Index i = 0; i < nearest_index(work.t, 12.5); ++i) {
    work.range_angle[i] += 0.04 * std::sin(9 * work.t[i]);
  }
  for (const double from_s : {5.0, 9.0, 13.0}) tell(from_s + 0.3, from_s + 1.25, from_s + 2.2);
  EXPECT_EQ(found()[2].start.time_s, 13.3);
}

TEST_F(RepBorders, TheTurnMayLieALittleBesideTheToldOne) {
  turn({{5.0, 1.0, 0.0, 0.5}, {9.0, 1.0, 0.0, 0.5}, {13.0, 1.0, 0.0, 0.5}});
  for (const double from_s : {5.0, 9.0, 13.0}) tell(from_s, from_s + 1.1, from_s + 2.0);
  EXPECT_EQ(found()[1].turn_index, nearest_index(work.t, 10.0));
}

TEST_F(RepBorders, ATurnAsSmallAsSwayTellsNone) {
  turn({{5.0, 1.0, 0.5, 0.02}, {9.0, 1.0, 0.5, 0.02}, {13.0, 1.0, 0.5, 0.02}});
  for (const double from_s : {5.0, 9.0, 13.0}) tell(from_s + 0.3, from_s + 1.25, from_s + 2.2);
  EXPECT_EQ(found()[1].start.time_s, 9.3);
}

TEST_F(RepBorders, WhatDoesNotComeBackKeepsItsOwn) {
  turn({{5.0, 1.0, 0.5, 0.5}, {9.0, 1.0, 0.5, 0.5}, {13.0, 1.0, 30.0, 0.5}});
  tell(5.0, 6.25, 7.5);
  tell(9.0, 10.25, 11.5);
  tell(13.0, 14.25, 15.5);
  EXPECT_EQ(found().back().start.time_s, 13.0);
  EXPECT_EQ(found().back().end.time_s, 15.5);
}

TEST_F(RepBorders, ARepStaysWhatItIs) {
  turn({{5.0, 1.0, 0.5, 0.5}, {9.0, 1.0, 0.5, 0.1}, {13.0, 1.0, 0.5, 0.5}});
  tell(5.0, 6.25, 7.5);
  tell(9.0, 10.25, 11.3);
  tell(13.0, 14.25, 15.5);
  work.excursions[1].part = true;
  EXPECT_TRUE(found()[1].part);
  EXPECT_FALSE(found()[0].part);
  EXPECT_NEAR(found()[1].end.time_s, 11.5 - after_start(1.0), 0.03);
}

TEST_F(RepBorders, NoneLeavesNone) {
  turn({});
  EXPECT_TRUE(found().empty());
}

}  // namespace
}  // namespace strapline::dsp
