#include "strapline/dsp/segmentation.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "strapline/dsp/set_analysis.hpp"
#include "strapline/dsp/time_grid.hpp"

namespace strapline::dsp {
namespace {

using Eigen::VectorXd;

/// A 0→1 step whose rate is a raised cosine: 5 % of the peak rate is reached where
/// sin²(π s) = 0.05, s = asin(√0.05)/π of the phase after its beginning.
double cosine_step(double s) {
  if (s <= 0.0) return 0.0;
  if (s >= 1.0) return 1.0;
  return s - std::sin(2.0 * std::numbers::pi * s) / (2.0 * std::numbers::pi);
}
const double kOnset = std::asin(std::sqrt(0.05)) / std::numbers::pi;

struct MadeRep {
  double start, down, hold, up, range;
};

VectorXd angle_of(const VectorXd& t, const std::vector<MadeRep>& reps, double level) {
  VectorXd x = VectorXd::Constant(t.size(), level);
  for (const MadeRep& r : reps) {
    for (Eigen::Index i = 0; i < t.size(); ++i) {
      x[i] += r.range * (cosine_step((t[i] - r.start) / r.down) -
                         cosine_step((t[i] - r.start - r.down - r.hold) / r.up));
    }
  }
  return x;
}

std::vector<Excursion> find(const VectorXd& t, const VectorXd& x, double level) {
  return find_excursions(t, x, level, {t[0], t[t.size() - 1]}, {});
}

TEST(Segmentation, BordersAreWhereTheRateCrossesFivePercent) {
  const VectorXd t = uniform_times(0.0, 20.0, 100.0);
  const std::vector<MadeRep> made{{2.0, 2.0, 1.0, 1.5, 1.6}, {9.0, 3.0, 0.5, 1.0, 1.5}};
  const auto found = find(t, angle_of(t, made, -1.5), -1.5);
  ASSERT_EQ(found.size(), 2U);
  for (std::size_t k = 0; k < made.size(); ++k) {
    const MadeRep& m = made[k];
    EXPECT_NEAR(found[k].start.time_s, m.start + kOnset * m.down, 0.03);
    EXPECT_NEAR(found[k].turn_in.time_s, m.start + (1.0 - kOnset) * m.down, 0.03);
    EXPECT_NEAR(found[k].turn_out.time_s, m.start + m.down + m.hold + kOnset * m.up, 0.03);
    EXPECT_NEAR(found[k].end.time_s, m.start + m.down + m.hold + (1.0 - kOnset) * m.up, 0.03);
    EXPECT_NEAR(found[k].range, m.range, 0.02);
    EXPECT_FALSE(found[k].part);
  }
}

// Where a strap does not ring, a border is known to about a millisecond (a tenth of a sample);
// where it does, those after a stop are less certain than those before it, for a phase as long.
TEST(Segmentation, BordersAfterAStopAreAsUncertainAsTheStrapRings) {
  const VectorXd t = uniform_times(0.0, 20.0, 100.0);
  const std::vector<MadeRep> made{{2.0, 2.0, 1.0, 1.5, 1.6}, {9.0, 3.0, 0.5, 1.0, 1.5}};
  const VectorXd x = angle_of(t, made, -1.5);
  SegmentationParams firm;
  firm.ringing = 0.0;
  const auto on_bone = find_excursions(t, x, -1.5, {t[0], t[t.size() - 1]}, firm);
  const auto on_skin = find(t, x, -1.5);
  ASSERT_EQ(on_bone.size(), on_skin.size());
  for (std::size_t k = 0; k < on_bone.size(); ++k) {
    EXPECT_LT(on_bone[k].end.u_s, 0.003);
    EXPECT_GT(on_skin[k].end.u_s, 1.5 * on_bone[k].end.u_s);
    EXPECT_GT(on_skin[k].end.u_s / made[k].up, 1.5 * on_skin[k].turn_in.u_s / made[k].down);
  }
}

TEST(Segmentation, AnExcursionBelowHalfOfTheMedianIsAPartRep) {
  const VectorXd t = uniform_times(0.0, 40.0, 100.0);
  std::vector<MadeRep> made;
  for (int k = 0; k < 6; ++k) made.push_back({2.0 + 6.0 * k, 1.5, 0.2, 1.5, k == 3 ? 0.6 : 1.6});
  const auto found = find(t, angle_of(t, made, 0.0), 0.0);
  ASSERT_EQ(found.size(), 6U);
  for (std::size_t k = 0; k < 6; ++k) EXPECT_EQ(found[k].part, k == 3) << k;
}

TEST(Segmentation, ASetOfTouchAndGoRepsIsPartedAtItsDips) {
  // Never quite back to the start posture: every top stays at a quarter of the range.
  const VectorXd t = uniform_times(0.0, 30.0, 100.0);
  VectorXd x(t.size());
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    const bool inside = t[i] > 4.0 && t[i] < 24.0;
    const double in = cosine_step((t[i] - 4.0) / 1.0) - cosine_step((t[i] - 23.0) / 1.0);
    x[i] =
        in * (1.0 - (inside ? 0.6 * std::cos(2.0 * std::numbers::pi * (t[i] - 4.0) / 4.0) : 0.0));
  }
  EXPECT_EQ(find(t, x, 0.0).size(), 5U);
}

TEST(Segmentation, AStallHalfWayUpDoesNotEndTheLifting) {
  const VectorXd t = uniform_times(0.0, 12.0, 100.0);
  VectorXd x(t.size());
  for (Eigen::Index i = 0; i < t.size(); ++i) {
    x[i] = 1.6 * cosine_step((t[i] - 2.0) / 1.5) - 0.8 * cosine_step((t[i] - 4.0) / 1.0) -
           0.8 * cosine_step((t[i] - 6.0) / 1.0);
  }
  const auto found = find(t, x, 0.0);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_GT(found[0].end.time_s, 6.7);
  EXPECT_LT(found[0].turn_out.time_s, 4.3);
}

TEST(Segmentation, SomethingQuickAfterASlowRepDoesNotBelongToIt) {
  // The last rep grinds; eleven seconds later a hand lets go, faster but not far.
  const VectorXd t = uniform_times(0.0, 45.0, 100.0);
  const std::vector<MadeRep> made{{2.0, 1.5, 0.2, 1.5, 1.6},
                                  {7.0, 1.5, 0.2, 1.5, 1.6},
                                  {12.0, 1.5, 0.2, 1.5, 1.6},
                                  {17.0, 1.5, 0.2, 6.0, 1.6}};
  std::vector<MadeRep> moved = made;
  moved.push_back({36.0, 0.4, 0.1, 0.4, 0.35});
  const auto found = find(t, angle_of(t, moved, 0.0), 0.0);
  ASSERT_EQ(found.size(), 4U);
  EXPECT_NEAR(found[3].end.time_s, 17.0 + 1.7 + (1.0 - kOnset) * 6.0, 0.05);
}

TEST(Segmentation, LeavingTheStartPostureAfterASlowRepDoesNotBelongToIt) {
  // A split stance, taken up from standing and given up again, quicker than the last rep's lifting.
  const VectorXd t = uniform_times(0.0, 50.0, 100.0);
  const std::vector<MadeRep> made{{7.0, 1.5, 0.2, 1.5, 1.1},
                                  {12.0, 1.5, 0.2, 1.5, 1.1},
                                  {17.0, 1.5, 0.2, 1.5, 1.1},
                                  {22.0, 1.5, 0.2, 6.0, 1.1}};
  std::vector<MadeRep> moved = made;
  moved.push_back({2.0, 1.5, 32.0, 0.8, 0.4});
  const auto found = find(t, angle_of(t, moved, 0.0), 0.0);
  ASSERT_EQ(found.size(), 4U);
  EXPECT_NEAR(found[3].end.time_s, 22.0 + 1.7 + (1.0 - kOnset) * 6.0, 0.1);
}

TEST(Segmentation, StandingStillHasNoReps) {
  const VectorXd t = uniform_times(0.0, 10.0, 100.0);
  EXPECT_TRUE(find(t, VectorXd::Constant(t.size(), 0.3), 0.3).empty());
}

Rep rep_at(double start_s) {
  Rep rep;
  rep.start_s = start_s;
  rep.end_s = start_s + 3.0;
  return rep;
}

TEST(Clusters, APauseOfTwentySecondsBeginsAnother) {
  const std::vector<Rep> reps{rep_at(0), rep_at(4), rep_at(8), rep_at(31), rep_at(35)};
  const auto clusters = clusters_of(reps);
  ASSERT_EQ(clusters.size(), 2U);
  EXPECT_EQ(clusters[0].count, 3U);
  EXPECT_EQ(clusters[1].first, 3U);
  EXPECT_EQ(clusters[1].count, 2U);
  EXPECT_NEAR(clusters[1].pause_s, 20.0, 1e-9);
  EXPECT_TRUE(clusters_of({}).empty());
}

TEST(Clusters, LongHoldsBetweenAllRepsAreNone) {
  EXPECT_EQ(clusters_of({rep_at(0), rep_at(13), rep_at(26), rep_at(39)}).size(), 1U);
}

TEST(Segmentation, UnknownStretchesDoNotMakeReps) {
  const VectorXd t = uniform_times(0.0, 20.0, 100.0);
  VectorXd x = angle_of(t, {{2.0, 2.0, 1.0, 1.5, 1.6}}, 0.0);
  x.segment(1200, 300).setConstant(std::nan(""));
  EXPECT_EQ(find(t, x, 0.0).size(), 1U);
}

}  // namespace
}  // namespace strapline::dsp
