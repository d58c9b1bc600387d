#pragma once

#include <vector>

#include "joint_looks.hpp"

namespace strapline::dsp {

/// What the pair has in common: constants, and the slow error of b's world against a's.
struct JointFit {
  Eigen::Vector3d axis_a, axis_b;
  Eigen::Vector3d lever_a = Eigen::Vector3d::Zero(), lever_b = Eigen::Vector3d::Zero();  // m
  double axis_a_u = 0.0, axis_b_u = 0.0;                                                 // rad
  double play = 0.1, force = 2.0;  // rad, m/s²: scale of the mismatches, per direction
  double cost = 0.0;               // −2 log likelihood, up to a constant
  double start_s = 0.0, knot_s = 1.0;
  std::vector<Eigen::Vector3d> knots;       // rad: heading in Y, relative inclination in X and Z
  std::vector<Eigen::Matrix3d> covariance;  // of the knots

  /// World of a from world of b at a time.
  [[nodiscard]] Eigen::Quaterniond a_from_b(double t) const;
  [[nodiscard]] Eigen::Vector3d error_at(double t) const;
  [[nodiscard]] Eigen::Matrix3d covariance_at(double t) const;

 private:
  [[nodiscard]] std::pair<std::size_t, double> place(double t) const;
};

/// Fit from a first guess of the axes, and of the heading at each look.
[[nodiscard]] JointFit fit_joint(const std::vector<JointLook>& looks, const JointParams& params,
                                 const Eigen::Vector3d& axis_a, const Eigen::Vector3d& axis_b,
                                 const std::vector<double>& heading);

}  // namespace strapline::dsp
