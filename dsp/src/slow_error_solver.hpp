#pragma once

#include <vector>

#include <Eigen/Core>

namespace strapline::dsp {

/// Normal equations of a chain of 3-vectors (knots), each tied to its neighbours, and a few
/// constants that every observation may see: block tridiagonal with a border.
class SlowErrorSolver {
 public:
  SlowErrorSolver(std::size_t knots, Eigen::Index constants);

  /// Observe `rows` numbers: `residual` = J·x + noise of unit variance, where J weighs knot k by
  /// 1 − part, knot k + 1 by part, and the constants by `by_constants`.
  void observe(std::size_t knot, double part, const Eigen::Matrix3d& by_error,
               const Eigen::MatrixXd& by_constants, const Eigen::Vector3d& residual);
  /// Tie neighbouring knots: next − kept·this = `residual`, information per component.
  void tie(std::size_t knot, const Eigen::Vector3d& kept, const Eigen::Vector3d& information,
           const Eigen::Vector3d& residual);
  void anchor(std::size_t knot, const Eigen::Vector3d& information,
              const Eigen::Vector3d& residual);
  void anchor_constant(Eigen::Index constant, double information, double residual);

  /// Solve. Afterwards the covariances are those of the solution.
  void solve();
  [[nodiscard]] const Eigen::Vector3d& knot(std::size_t k) const { return knots_[k]; }
  [[nodiscard]] const Eigen::VectorXd& constants() const { return constants_; }
  [[nodiscard]] const Eigen::Matrix3d& knot_covariance(std::size_t k) const { return spread_[k]; }
  [[nodiscard]] const Eigen::MatrixXd& constants_covariance() const { return constants_spread_; }

 private:
  using Border = Eigen::Matrix<double, 3, Eigen::Dynamic>;
  void eliminate();
  void marginals();

  std::vector<Eigen::Matrix3d> diagonal_, upper_;  // upper_[k]: rows of knot k, columns of k + 1
  std::vector<Border> border_;
  std::vector<Eigen::Vector3d> right_;
  Eigen::MatrixXd corner_;
  Eigen::VectorXd corner_right_;

  std::vector<Eigen::Matrix3d> forward_;  // diagonal after elimination from the left
  std::vector<Border> border_solution_;
  std::vector<Eigen::Vector3d> knots_;
  std::vector<Eigen::Matrix3d> spread_;
  Eigen::VectorXd constants_;
  Eigen::MatrixXd constants_spread_;
};

}  // namespace strapline::dsp
