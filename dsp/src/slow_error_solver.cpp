#include "slow_error_solver.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>

namespace strapline::dsp {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

SlowErrorSolver::SlowErrorSolver(std::size_t knots, Index constants)
    : diagonal_(knots, Matrix3d::Zero()),
      upper_(knots, Matrix3d::Zero()),
      border_(knots, Border::Zero(3, constants)),
      right_(knots, Vector3d::Zero()),
      corner_(MatrixXd::Zero(constants, constants)),
      corner_right_(VectorXd::Zero(constants)) {}

void SlowErrorSolver::observe(std::size_t knot, double part, const Matrix3d& by_error,
                              const MatrixXd& by_constants, const Vector3d& residual) {
  const double near = 1.0 - part;
  const Matrix3d information = by_error.transpose() * by_error;
  const Border cross = by_error.transpose() * by_constants;
  const Vector3d push = by_error.transpose() * residual;
  diagonal_[knot] += near * near * information;
  border_[knot] += near * cross;
  right_[knot] += near * push;
  if (knot + 1 < diagonal_.size()) {
    diagonal_[knot + 1] += part * part * information;
    upper_[knot] += near * part * information;
    border_[knot + 1] += part * cross;
    right_[knot + 1] += part * push;
  }
  corner_ += by_constants.transpose() * by_constants;
  corner_right_ += by_constants.transpose() * residual;
}

void SlowErrorSolver::tie(std::size_t knot, const Vector3d& kept, const Vector3d& information,
                          const Vector3d& residual) {
  const Vector3d weighted = information.cwiseProduct(kept);
  diagonal_[knot].diagonal() += weighted.cwiseProduct(kept);
  diagonal_[knot + 1].diagonal() += information;
  upper_[knot].diagonal() -= weighted;
  right_[knot] -= weighted.cwiseProduct(residual);
  right_[knot + 1] += information.cwiseProduct(residual);
}

void SlowErrorSolver::anchor(std::size_t knot, const Vector3d& information,
                             const Vector3d& residual) {
  diagonal_[knot].diagonal() += information;
  right_[knot] += information.cwiseProduct(residual);
}

void SlowErrorSolver::anchor_constant(Index constant, double information, double residual) {
  corner_(constant, constant) += information;
  corner_right_[constant] += information * residual;
}

void SlowErrorSolver::eliminate() {
  const std::size_t n = diagonal_.size();
  forward_ = diagonal_;
  knots_ = right_;
  border_solution_ = border_;
  for (std::size_t k = 1; k < n; ++k) {
    const Matrix3d pull = upper_[k - 1].transpose() * forward_[k - 1].inverse();
    forward_[k] -= pull * upper_[k - 1];
    knots_[k] -= pull * knots_[k - 1];
    border_solution_[k] -= pull * border_solution_[k - 1];
  }
  for (std::size_t k = n; k-- > 0;) {
    if (k + 1 < n) {
      knots_[k] -= upper_[k] * knots_[k + 1];
      border_solution_[k] -= upper_[k] * border_solution_[k + 1];
    }
    const Matrix3d inverse = forward_[k].inverse();
    knots_[k] = inverse * knots_[k];
    border_solution_[k] = inverse * border_solution_[k];
  }
}

void SlowErrorSolver::marginals() {
  const std::size_t n = diagonal_.size();
  spread_.assign(n, Matrix3d::Zero());
  Matrix3d backward = diagonal_[n - 1];
  for (std::size_t k = n; k-- > 0;) {
    if (k + 1 < n) {
      backward = diagonal_[k] - upper_[k] * backward.inverse() * upper_[k].transpose();
    }
    const Border& seen = border_solution_[k];
    spread_[k] = (forward_[k] + backward - diagonal_[k]).inverse() +
                 seen * constants_spread_ * seen.transpose();
  }
}

void SlowErrorSolver::solve() {
  eliminate();
  MatrixXd corner = corner_;
  VectorXd right = corner_right_;
  for (std::size_t k = 0; k < diagonal_.size(); ++k) {
    corner -= border_[k].transpose() * border_solution_[k];
    right -= border_[k].transpose() * knots_[k];
  }
  constants_spread_ = corner.ldlt().solve(MatrixXd::Identity(corner.rows(), corner.cols()));
  constants_ = constants_spread_ * right;
  for (std::size_t k = 0; k < knots_.size(); ++k) knots_[k] -= border_solution_[k] * constants_;
  marginals();
}

}  // namespace strapline::dsp
