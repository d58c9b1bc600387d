#include "strapline/dsp/error_propagation.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "strapline/dsp/rotation.hpp"

#include "column_kernels.hpp"
#include "wide_vectors.hpp"

namespace strapline::dsp {
namespace {

using namespace error_index;
using Eigen::Matrix;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr int kConstant = kSize - kMoving;
using Rows3 = Matrix<double, 3, kSize>;

/// x·Φᵀ, columns only: `x` holds error states as its rows. Columns of the moving parts are
/// replaced.
template <int Rows>
void move_columns(const EpochTransition& phi, Matrix<double, Rows, kSize>& x) {
  using Three = Matrix<double, Rows, 3>;
  Three turned;
  for (int r = 0; r < 3; ++r) {
    const Matrix<double, 12, 1> a = phi.turn_by_gyr.row(r).transpose();
    const double* by_gyr = x.col(kGyrBias).data();
    add_twelve_columns<Rows>(turned.col(r).data(), x.col(r).data(), by_gyr, a.data());
  }
  const Three middle = 0.5 * (turned + x.template leftCols<3>());
  const Three before = x.template middleCols<3>(kVelocity);
  Three after;
  const Matrix3d& by_force = phi.frame_time;
  for (int r = 0; r < 3; ++r) {
    after.col(r) = before.col(r) - phi.force(r, 0) * middle.col(0) -
                   phi.force(r, 1) * middle.col(1) - phi.force(r, 2) * middle.col(2) -
                   by_force(r, 0) * x.col(kAccBias) - by_force(r, 1) * x.col(kAccBias + 1) -
                   by_force(r, 2) * x.col(kAccBias + 2);
  }
  after.col(1) -= phi.duration * x.col(kGravity);
  x.template leftCols<3>() = turned;
  x.template middleCols<3>(kVelocity) = after;
  x.template middleCols<3>(kPosition) =
      phi.leak * x.template middleCols<3>(kPosition) + (0.5 * phi.duration) * (before + after);
}

/// x·Φ, columns only: what move_columns does, transposed step by step, in reverse order.
template <int Rows>
void pull_back_columns(const EpochTransition& phi, Matrix<double, Rows, kSize>& x) {
  using Three = Matrix<double, Rows, 3>;
  const Three half_position = (0.5 * phi.duration) * x.template middleCols<3>(kPosition);
  const Three after = x.template middleCols<3>(kVelocity) + half_position;
  Three middle;
  const Matrix3d& by_force = phi.frame_time;
  for (int k = 0; k < 3; ++k) {
    middle.col(k) = -phi.force(0, k) * after.col(0) - phi.force(1, k) * after.col(1) -
                    phi.force(2, k) * after.col(2);
    x.col(kAccBias + k) -= by_force(0, k) * after.col(0) + by_force(1, k) * after.col(1) +
                           by_force(2, k) * after.col(2);
  }
  x.col(kGravity) -= phi.duration * after.col(1);
  x.template middleCols<3>(kVelocity) = after + half_position;
  x.template middleCols<3>(kPosition) *= phi.leak;
  const Three turned = x.template leftCols<3>() + 0.5 * middle;
  x.template leftCols<3>() += middle;
  for (int k = 0; k < 12; ++k) {
    x.col(kGyrBias + k) += phi.turn_by_gyr(0, k) * turned.col(0) +
                           phi.turn_by_gyr(1, k) * turned.col(1) +
                           phi.turn_by_gyr(2, k) * turned.col(2);
  }
}

/// Rounding makes the two halves drift apart, and a covariance that is not symmetric soon is none.
template <class Square>
void mirror_lower_half(Square& p) {
  for (int j = 1; j < p.cols(); ++j) {
    for (int i = 0; i < j; ++i) p(i, j) = p(j, i);
  }
}

}  // namespace

STRAPLINE_WIDE_VECTORS void EpochTransition::propagate(ErrorMatrix& p) const {
  move_columns<kSize>(*this, p);  // now P·Φᵀ: its moving columns are new
  Matrix<double, kMoving, kSize> rows = p.leftCols<kMoving>().transpose();
  move_columns<kMoving>(*this, rows);  // Φ·(P·Φᵀ), its moving part
  Matrix<double, kMoving, kMoving> moving = rows.leftCols<kMoving>();
  mirror_lower_half(moving);
  p.topLeftCorner<kMoving, kMoving>() = moving;
  p.topRightCorner<kMoving, kConstant>() = p.bottomLeftCorner<kConstant, kMoving>().transpose();
}

void EpochTransition::pull_back(ErrorVector& lambda) const {
  Matrix<double, 1, kSize> row = lambda.transpose();
  pull_back_columns<1>(*this, row);
  lambda = row.transpose();
}

STRAPLINE_WIDE_VECTORS void EpochTransition::pull_back(ErrorMatrix& lambda) const {
  pull_back_columns<kSize>(*this, lambda);  // Λ·Φ
  ErrorMatrix rows = lambda.transpose();    // Φᵀ·Λ
  pull_back_columns<kSize>(*this, rows);
  lambda = rows;
}

void EpochTransition::carry(ThreeErrors& c) const { move_columns<3>(*this, c); }

void EpochTransition::pull_back(ThreeErrors& w) const { pull_back_columns<3>(*this, w); }

ErrorMatrix EpochTransition::dense() const {
  ErrorMatrix phi_transposed = ErrorMatrix::Identity();
  move_columns<kSize>(*this, phi_transposed);
  return phi_transposed.transpose();
}

STRAPLINE_WIDE_VECTORS BlockUpdate BlockUpdate::take(int at, const Vector3d& observed,
                                                     double variance, ErrorVector& correction,
                                                     ErrorMatrix& p) {
  BlockUpdate update;
  update.at = at;
  const Matrix<double, kSize, 3> seen = p.middleCols<3>(at);
  Matrix3d innovation_covariance = seen.middleRows<3>(at);
  innovation_covariance.diagonal().array() += variance;
  update.information = innovation_covariance.inverse();
  update.innovation = observed - correction.segment<3>(at);
  update.gain = seen.lazyProduct(update.information);
  correction += update.gain.lazyProduct(update.innovation);
  // P − K·Hᵀ·P as a square, which rounding leaves symmetric: S⁻¹ = L·Lᵀ, w = P·Hᵀ·L.
  const Matrix3d root = update.information.llt().matrixL();
  const Matrix<double, kSize, 3> w = seen.lazyProduct(root);
  subtract_square<kSize>(p.data(), w.data());
  return update;
}

void BlockUpdate::pull_back(ErrorVector& lambda) const {
  const Vector3d through = gain.transpose().lazyProduct(lambda) + information * innovation;
  lambda.segment<3>(at) -= through;
}

STRAPLINE_WIDE_VECTORS void BlockUpdate::pull_back(ErrorMatrix& lambda) const {
  Matrix<double, kSize, 3> through = Matrix<double, kSize, 3>::Zero();  // Λ·K
  for (int j = 0; j < kSize; ++j) {
    for (int r = 0; r < 3; ++r) through.col(r) += gain(j, r) * lambda.col(j);
  }
  const Matrix3d both = gain.transpose().lazyProduct(through) + information;
  lambda.middleCols<3>(at) -= through;
  lambda.middleRows<3>(at) -= through.transpose();
  lambda.block<3, 3>(at, at) += both;
  mirror_lower_half(lambda);
}

void BlockUpdate::carry(ThreeErrors& c) const {
  const Matrix3d seen = c.middleCols<3>(at);
  c -= seen.lazyProduct(gain.transpose());
}

void BlockUpdate::pull_back(ThreeErrors& w) const {
  w.middleCols<3>(at) -= w.lazyProduct(gain).eval();
}

}  // namespace strapline::dsp
