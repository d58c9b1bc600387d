#include "strapline/dsp/joint_motion.hpp"

#include <cmath>
#include <functional>
#include <random>

#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::kDegree;

/// Two segments on one hinge whose centre moves, each with a strap: readings by differences of the
/// closed form, with noise and bias of a common part.
struct TwoLinks {
  Vector3d hinge = Vector3d::UnitZ();  ///< in both segments
  std::function<Quaterniond(double)> upper;
  std::function<double(double)> flexion;  ///< rad
  Quaterniond mount_a = exp_rotation({0.3, -0.5, 0.2});
  Quaterniond mount_b = exp_rotation({-0.2, 0.9, 0.4});
  Vector3d place_a{0.05, 0.25, 0.02}, place_b{0.04, -0.2, 0.03};  ///< m, from the joint
  double noise = 1.0;

  [[nodiscard]] Quaterniond lower(double t) const {
    return upper(t) * exp_rotation(flexion(t) * hinge);
  }
  [[nodiscard]] InertialSeries record(bool of_a, unsigned seed) const {
    constexpr double kRate = 100.0, kLength = 40.0, kStep = 1e-3;
    const auto turn = [&](double t) { return of_a ? upper(t) * mount_a : lower(t) * mount_b; };
    const auto place = [&](double t) -> Vector3d {
      const Vector3d joint(0.1 * std::sin(1.3 * t), 0.15 * std::cos(1.7 * t), 0.05 * std::sin(t));
      return joint + (of_a ? upper(t) * place_a : lower(t) * place_b);
    };
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    const auto scatter = [&](double sd) -> Vector3d {
      return Vector3d(normal(random), normal(random), normal(random)) * sd * noise;
    };
    const Vector3d bias = scatter(0.005);
    const auto n = static_cast<Index>(kRate * kLength);
    InertialSeries out{Eigen::VectorXd(n), Eigen::Matrix3Xd(3, n), Eigen::Matrix3Xd(3, n), {}};
    for (Index i = 0; i < n; ++i) {
      const double t = static_cast<double>(i) / kRate;
      const Vector3d acceleration =
          (place(t + kStep) - 2.0 * place(t) + place(t - kStep)) / (kStep * kStep);
      out.t[i] = t;
      out.gyr.col(i) = log_rotation(turn(t - kStep).conjugate() * turn(t + kStep)) / (2.0 * kStep) +
                       bias + scatter(0.002);
      out.acc.col(i) =
          turn(t).conjugate() * (acceleration + testing::kGravity * world_up()) + scatter(0.03);
    }
    return out;
  }
};

TwoLinks links() {
  TwoLinks out;
  out.upper = [](double t) {
    return exp_rotation({0.25 * std::sin(0.7 * t), 0.3 * std::sin(0.4 * t), 0.0}) *
           exp_rotation({0.0, 0.0, 0.5 * std::sin(1.9 * t)});
  };
  out.flexion = [](double t) { return 0.6 * (1.0 - std::cos(1.5 * t)); };
  return out;
}

Result<JointMotion> motion_of(const InertialSeries& a, const InertialSeries& b) {
  const OrientationSeries turn_a = smoothed_orientation(a), turn_b = smoothed_orientation(b);
  return joint_motion({a, turn_a}, {b, turn_b});
}

Eigen::VectorXd errors(const TwoLinks& links, const JointMotion& motion) {
  Eigen::VectorXd error(motion.t.size());
  for (Index i = 0; i < error.size(); ++i)
    error[i] = motion.flexion[i] - links.flexion(motion.t[i]);
  return (error.array() - error.mean()).matrix();
}

double rms(const Eigen::VectorXd& x) {
  return std::sqrt(x.squaredNorm() / static_cast<double>(x.size()));
}

double angle(const Vector3d& a, const Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

TEST(JointMotion, FindsFlexionAxesSignAndLevers) {
  const TwoLinks truth = links();
  const auto motion = motion_of(truth.record(true, 1), truth.record(false, 2));
  ASSERT_TRUE(motion) << motion.error().line();
  EXPECT_LT(rms(errors(truth, *motion)), 1.0 * kDegree);
  EXPECT_LT(angle(motion->axis_a, truth.mount_a.conjugate() * truth.hinge), 3.0 * motion->axis_a_u);
  EXPECT_LT(angle(motion->axis_b, truth.mount_b.conjugate() * truth.hinge), 3.0 * motion->axis_b_u);
  EXPECT_LT(motion->axis_a_u, 2.0 * kDegree);
  // Along the axis a lever shows in little; across it, it is found.
  const Vector3d lever = truth.mount_b * motion->lever_b + truth.place_b;
  EXPECT_LT(lever.head<2>().norm(), 0.04);
}

TEST(JointMotion, TheUncertaintyCoversTheError) {
  const TwoLinks truth = links();
  double inside = 0.0, all = 0.0;
  for (unsigned seed = 10; seed < 18; seed += 2) {
    const auto motion = motion_of(truth.record(true, seed), truth.record(false, seed + 1));
    ASSERT_TRUE(motion);
    const Eigen::VectorXd error = errors(truth, *motion);
    inside +=
        static_cast<double>((error.array().abs() <= 1.96 * motion->flexion_u.array()).count());
    all += static_cast<double>(error.size());
  }
  EXPECT_GT(inside / all, 0.9);
}

TEST(JointMotion, TheOrderOfTheStrapsDoesNotMatter) {
  const TwoLinks truth = links();
  const InertialSeries a = truth.record(true, 1), b = truth.record(false, 2);
  const auto one = motion_of(a, b), other = motion_of(b, a);
  ASSERT_TRUE(one && other);
  EXPECT_LT((one->flexion - other->flexion).cwiseAbs().maxCoeff(), 0.3 * kDegree);
}

TEST(JointMotion, ASensorTurnedInItsHousingDoesNotMatter) {
  const TwoLinks truth = links();
  const InertialSeries a = truth.record(true, 1), b = truth.record(false, 2);
  InertialSeries turned = b;
  const Eigen::Matrix3d housing = exp_rotation({1.0, -0.7, 0.4}).toRotationMatrix();
  turned.acc = housing * b.acc;
  turned.gyr = housing * b.gyr;
  const auto one = motion_of(a, b), other = motion_of(a, turned);
  ASSERT_TRUE(one && other);
  EXPECT_LT((one->flexion - other->flexion).cwiseAbs().maxCoeff(), 0.1 * kDegree);
  EXPECT_LT(angle(housing * one->axis_b, other->axis_b), 0.1 * kDegree);
}

TEST(JointMotion, RefusesAJointThatDoesNotBend) {
  TwoLinks still = links();
  still.flexion = [](double t) { return 0.05 * std::sin(t); };
  const auto motion = motion_of(still.record(true, 1), still.record(false, 2));
  ASSERT_FALSE(motion);
  EXPECT_NE(motion.error().line().find("hardly turn"), std::string::npos);
}

TEST(JointMotion, RefusesRecordingsThatHardlyOverlap) {
  const TwoLinks truth = links();
  const InertialSeries a = truth.record(true, 1);
  InertialSeries b = truth.record(false, 2);
  b.t.array() += 39.5;
  EXPECT_FALSE(motion_of(a, b));
}

TEST(JointMotion, AVerticalAxisIsFlaggedAndBridged) {
  TwoLinks truth = links();
  const auto swing = truth.upper;
  // From 20 s to 24 s the axis rises to vertical and stays there.
  truth.upper = [swing](double t) {
    const double s = std::min(1.0, std::max(0.0, (t - 20.0) / 4.0));
    const double smooth = s * s * (3.0 - 2.0 * s);
    return exp_rotation({-0.5 * std::numbers::pi * smooth, 0.0, 0.0}) *
           exp_rotation((1.0 - smooth) * log_rotation(swing(t)));
  };
  const auto motion = motion_of(truth.record(true, 1), truth.record(false, 2));
  ASSERT_TRUE(motion);
  EXPECT_EQ(motion->heading_observable[1000], 1);
  EXPECT_EQ(motion->heading_observable[3000], 0);
  EXPECT_GT(motion->heading_u[3900], 2.0 * motion->heading_u[1000]);
  EXPECT_GT(motion->heading_u[3900], motion->heading_u[2700]);
  EXPECT_LT(rms(errors(truth, *motion)), 4.0 * kDegree);
}

}  // namespace
}  // namespace strapline::dsp
