#include "strapline/dsp/error_propagation.hpp"

#include <random>

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Vector3d;

/// Random but the same each time: entries uniform in ±1.
struct Draws {
  std::mt19937 engine{7};
  double operator()() {
    return static_cast<double>(engine()) / static_cast<double>(std::mt19937::max()) * 2.0 - 1.0;
  }
};

ErrorMatrix some_covariance(Draws& draw) {
  ErrorMatrix root;
  for (double& x : root.reshaped()) x = draw();
  return root * root.transpose();
}

EpochTransition some_transition(Draws& draw) {
  EpochTransition phi;
  phi.duration = 0.125;
  phi.leak = 0.9;
  phi.force = skew(Vector3d(draw(), draw(), draw()));
  phi.frame_time = 0.125 * exp_rotation({draw(), draw(), draw()}).toRotationMatrix();
  for (double& x : phi.turn_by_gyr.reshaped()) x = draw();
  return phi;
}

TEST(EpochTransition, BlocksDoWhatTheDenseMatrixDoes) {
  Draws draw;
  const EpochTransition phi = some_transition(draw);
  const ErrorMatrix dense = phi.dense();
  const ErrorMatrix p = some_covariance(draw);

  ErrorMatrix forward = p;
  phi.propagate(forward);
  EXPECT_LT((forward - dense * p * dense.transpose()).norm(), 1e-12 * p.norm());
  EXPECT_EQ(forward, ErrorMatrix(forward.transpose()));

  ErrorMatrix back = p;
  phi.pull_back(back);
  EXPECT_LT((back - dense.transpose() * p * dense).norm(), 1e-12 * p.norm());

  ErrorVector lambda = p.col(3);
  phi.pull_back(lambda);
  EXPECT_LT((lambda - dense.transpose() * p.col(3)).norm(), 1e-12 * p.norm());

  const ThreeErrors rows = p.topRows<3>();
  ThreeErrors carried = rows, pulled = rows;
  phi.carry(carried);
  phi.pull_back(pulled);
  EXPECT_LT((carried - rows * dense.transpose()).norm(), 1e-12 * p.norm());
  EXPECT_LT((pulled - rows * dense).norm(), 1e-12 * p.norm());
}

/// The textbook form: K = PHᵀ(HPHᵀ + R)⁻¹, P ← (1 − KH)P.
TEST(BlockUpdate, EqualsTheTextbooksUpdateAndItsAdjoint) {
  using namespace error_index;
  Draws draw;
  const ErrorMatrix p = some_covariance(draw);
  Eigen::Matrix<double, 3, kSize> h = Eigen::Matrix<double, 3, kSize>::Zero();
  h.middleCols<3>(kPosition).setIdentity();
  const Eigen::Matrix3d s = h * p * h.transpose() + 0.5 * Eigen::Matrix3d::Identity();
  const Eigen::Matrix<double, kSize, 3> gain = p * h.transpose() * s.inverse();
  const ErrorMatrix keep = ErrorMatrix::Identity() - gain * h;
  const Vector3d seen(1.0, -2.0, 3.0);

  ErrorMatrix after = p;
  ErrorVector correction = ErrorVector::Zero();
  const BlockUpdate update = BlockUpdate::take(kPosition, seen, 0.5, correction, after);
  EXPECT_LT((after - keep * p).norm(), 1e-12 * p.norm());
  EXPECT_LT((correction - gain * seen).norm(), 1e-12);

  const ErrorMatrix information = some_covariance(draw);
  ErrorMatrix back = information;
  update.pull_back(back);
  EXPECT_LT((back - keep.transpose() * information * keep - h.transpose() * s.inverse() * h).norm(),
            1e-12 * information.norm());

  ErrorVector lambda = information.col(2);
  update.pull_back(lambda);
  const ErrorVector expected =
      keep.transpose() * information.col(2) - h.transpose() * s.inverse() * seen;
  EXPECT_LT((lambda - expected).norm(), 1e-12 * information.norm());

  const ThreeErrors rows = information.topRows<3>();
  ThreeErrors carried = rows, pulled = rows;
  update.carry(carried);
  update.pull_back(pulled);
  EXPECT_LT((carried - rows * keep.transpose()).norm(), 1e-12 * information.norm());
  EXPECT_LT((pulled - rows * keep).norm(), 1e-12 * information.norm());
}

}  // namespace
}  // namespace strapline::dsp
