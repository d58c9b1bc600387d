#include "strapline/dsp/rep_gate.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// What a thigh and its shank do in one excursion, about the same horizontal axis.
struct Made {
  double start_s, thigh, shank;  // rad at the turn
  double sway = 0.0;             // rad, of the shank while the thigh is held at the turn
};

constexpr double kPhase = 1.0, kHold = 1.0;  // s

double there_and_back(double s) {
  const auto step = [](double x) {
    const double y = std::clamp(x, 0.0, 1.0);
    return y * y * (3.0 - 2.0 * y);
  };
  return step(s / kPhase) - step((s - kPhase - kHold) / kPhase);
}

struct Scene {
  VectorXd t, angle;
  GridMotion thigh, shank;
  std::vector<Excursion> excursions;

  explicit Scene(const std::vector<Made>& all) {
    t = uniform_times(0.0, all.back().start_s + 5.0, 100.0);
    angle = VectorXd::Zero(t.size());
    for (Index i = 0; i < t.size(); ++i) {
      double shank_angle = 0.0;
      for (const Made& m : all) {
        const double s = t[i] - m.start_s;
        angle[i] += m.thigh * there_and_back(s);
        shank_angle += m.shank * there_and_back(s);
        if (s > kPhase && s < kPhase + kHold) shank_angle += m.sway * std::sin(20.0 * s);
      }
      thigh.q_world_from_sensor.push_back(exp_rotation(angle[i] * Vector3d::UnitZ()));
      shank.q_world_from_sensor.push_back(exp_rotation(shank_angle * Vector3d::UnitZ()));
    }
    for (const Made& m : all) {
      Excursion e;
      e.start.time_s = m.start_s;
      e.turn_in.time_s = m.start_s + kPhase;
      e.turn_out.time_s = m.start_s + kPhase + kHold;
      e.end.time_s = m.start_s + 2.0 * kPhase + kHold;
      e.turn_index = nearest_index(t, m.start_s + kPhase + 0.5 * kHold);
      e.range = m.thigh;
      excursions.push_back(e);
    }
  }

  [[nodiscard]] std::vector<double> kept() const {
    std::vector<double> starts;
    const auto range_of = [&](const Excursion&) -> const VectorXd& { return angle; };
    for (const Excursion& e : without_strange(excursions, {&thigh, &shank}, t, range_of, 0.2)) {
      starts.push_back(e.start.time_s);
    }
    return starts;
  }
};

TEST(RepGate, AStrideIsToldFromAPartRepByTheShank) {
  const Scene scene({{2.0, 1.4, -0.6},
                     {7.0, 1.4, -0.6},
                     {12.0, 0.45, -0.2},  // a part rep
                     {17.0, 1.4, -0.6},
                     {22.0, 0.45, 0.8},  // strides: more of them than reps
                     {27.0, 0.45, 0.8},
                     {32.0, 0.45, 0.8},
                     {37.0, 0.45, 0.8}});
  EXPECT_EQ(scene.kept(), (std::vector<double>{2.0, 7.0, 12.0, 17.0}));
}

TEST(RepGate, WhatMovesOnWhileTheAngleIsHeldIsNoRep) {
  // Climbing stairs: the mean of both thighs stays up for a while, the legs go on.
  const Scene scene({{2.0, 0.4, -0.2, 0.8}, {7.0, 0.4, -0.2, 0.8}, {12.0, 0.4, -0.2, 0.8}});
  EXPECT_TRUE(scene.kept().empty());
}

TEST(RepGate, ALoneDeepRepIsKeptALoneShallowOneIsNot) {
  EXPECT_EQ(Scene({{2.0, 1.4, -0.6}}).kept().size(), 1U);
  EXPECT_TRUE(Scene({{2.0, 0.4, -0.2}}).kept().empty());
}

/// The last excursion is the rear leg's, stepping up to the front one: as large as a rep and like
/// no other, but it ends 0.35 rad from where it began.
TEST(RepGate, ALoneSwingThatDoesNotComeBackIsNoRep) {
  Scene scene({{2.0, 1.0, -0.4}, {7.0, 1.0, -0.4}, {12.0, 1.0, -0.4}, {17.0, 0.9, 0.3}});
  for (Excursion& e : scene.excursions) e.side = Side::right;
  scene.excursions.back().side = Side::left;
  EXPECT_EQ(scene.kept().size(), 4U);  // comes back: the other leg's only rep
  const Index turn = scene.excursions.back().turn_index;
  const double top = scene.angle[turn];
  for (Index i = turn; i < scene.t.size(); ++i) {
    scene.angle[i] = top - (top - 0.35) / top * (top - scene.angle[i]);
    scene.thigh.q_world_from_sensor[static_cast<std::size_t>(i)] =
        exp_rotation(scene.angle[i] * Vector3d::UnitZ());
  }
  EXPECT_EQ(scene.kept(), (std::vector<double>{2.0, 7.0, 12.0}));
}

TEST(RepGate, APushUpDoesNotStartUpright) {
  const Scene scene({{2.0, 0.8, 0.1}, {7.0, 0.8, 0.1}, {12.0, 0.8, 0.1}});
  GridMotion trunk;  // stands for five seconds, is prone from then on
  for (Index i = 0; i < scene.t.size(); ++i) {
    const double turn = scene.t[i] < 5.0 ? 0.1 : 1.4;
    trunk.q_world_from_sensor.push_back(exp_rotation(turn * Vector3d::UnitX()));
  }
  const auto kept = without_standing(scene.excursions, trunk, scene.t, {0.0, 1.5}, 0.5);
  ASSERT_EQ(kept.size(), 2U);
  EXPECT_DOUBLE_EQ(kept[0].start.time_s, 7.0);
}

}  // namespace
}  // namespace strapline::dsp
