#include "gravity_ellipsoid.hpp"

#include <array>
#include <cmath>
#include <cstdlib>
#include <string>

#include <Eigen/Dense>
#include <fmt/format.h>

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr Index kFewestPoses = 6;
// Parameters: three gains on the diagonal, three skews (yz, xz, xy), three offsets.
constexpr Index kGain = 0, kSkew = 3, kOffset = 6, kParameters = 9;
using Parameters = Eigen::Matrix<double, kParameters, 1>;
using Normal = Eigen::Matrix<double, kParameters, kParameters>;

Matrix3d gain_of(const Parameters& p) {
  Matrix3d gain;
  gain << p[0], p[5], p[4], p[5], p[1], p[3], p[4], p[3], p[2];
  return gain;
}

/// Directions more than 20° apart.
Index distinct(const std::vector<StillPose>& poses) {
  constexpr double kCosApart = 0.94;
  std::vector<Vector3d> found;
  for (const StillPose& pose : poses) {
    const Vector3d direction = pose.acc_mean.normalized();
    bool is_new = true;
    for (const Vector3d& other : found) is_new = is_new && direction.dot(other) < kCosApart;
    if (is_new) found.push_back(direction);
  }
  return static_cast<Index>(found.size());
}

Result<void> check_cover(const std::vector<StillPose>& poses) {
  if (const Index n = distinct(poses); n < kFewestPoses) {
    return fail(fmt::format("still in only {} different pose{}, {} are needed", n,
                            n == 1 ? "" : "s", kFewestPoses),
                "calibration",
                "lay the strap on each of its sides and hold still for two seconds each time");
  }
  constexpr double kShown = 0.6;  // an axis within 53° of the vertical
  for (Index axis = 0; axis < 3; ++axis) {
    for (const double sign : {1.0, -1.0}) {
      bool shown = false;
      for (const StillPose& pose : poses) {
        shown = shown || sign * pose.acc_mean.normalized()[axis] > kShown;
      }
      if (shown) continue;
      return fail(fmt::format("the poses do not cover the sphere: none has the strap's {} axis "
                              "pointing {}",
                              "xyz"[axis], sign > 0.0 ? "up" : "down"),
                  "calibration", "add that pose");
    }
  }
  return {};
}

/// Without skew the ellipsoid's equation is linear: Σ (A x² + B x) = 1.
Result<Parameters> linear_start(const std::vector<StillPose>& poses, double gravity) {
  const auto n = static_cast<Index>(poses.size());
  MatrixXd rows(n, 6);
  for (Index i = 0; i < n; ++i) {
    const Vector3d x = poses[static_cast<std::size_t>(i)].acc_mean / gravity;
    rows.row(i) << x.cwiseAbs2().transpose(), x.transpose();
  }
  const VectorXd solution = rows.colPivHouseholderQr().solve(VectorXd::Ones(n));
  const Vector3d a = solution.head<3>(), b = solution.tail<3>();
  if (!(a.minCoeff() > 0.0)) {
    return fail("the poses do not lie on an ellipsoid", "calibration",
                "hold the strap still in more, and more different, poses");
  }
  const Vector3d centre = -0.5 * b.cwiseQuotient(a);
  const double square = 1.0 / (1.0 + a.dot(centre.cwiseAbs2()));
  Parameters p = Parameters::Zero();
  p.segment<3>(kGain) = (a * square).cwiseSqrt();
  p.segment<3>(kOffset) = centre * gravity;
  return p;
}

/// |gain · (reading − offset)| − gravity of a pose, and its derivatives.
double residual(const StillPose& pose, const Parameters& p, double gravity, Parameters& slope) {
  const Matrix3d gain = gain_of(p);
  const Vector3d x = pose.acc_mean - p.segment<3>(kOffset);
  const Vector3d f = gain * x;
  const Vector3d along = f.normalized();
  slope.segment<3>(kGain) = along.cwiseProduct(x);
  slope[kSkew + 0] = along[1] * x[2] + along[2] * x[1];
  slope[kSkew + 1] = along[0] * x[2] + along[2] * x[0];
  slope[kSkew + 2] = along[0] * x[1] + along[1] * x[0];
  slope.segment<3>(kOffset) = -gain * along;
  return f.norm() - gravity;
}

struct Solution {
  Parameters p;
  Parameters u;
};

Parameters uncertainty(const Normal& normal) {
  return normal.inverse().diagonal().cwiseMax(0.0).cwiseSqrt();
}

/// Gauss–Newton; the spread of a pose is what the poses show, with the stated one as four poses'
/// worth of knowledge, so that six poses with no residual do not claim certainty.
Solution refine(const std::vector<StillPose>& poses, Parameters p,
                const CalibrationOptions& options) {
  constexpr int kMostSteps = 20;
  constexpr double kStatedPoses = 4.0;
  double variance = options.pose_sd * options.pose_sd;
  Normal normal;
  for (int step = 0; step < kMostSteps; ++step) {
    normal.setZero();
    Parameters gradient = Parameters::Zero();
    double squares = 0.0;
    for (const StillPose& pose : poses) {
      Parameters slope;
      const double r = residual(pose, p, options.gravity, slope);
      normal += slope * slope.transpose() / variance;
      gradient += slope * r / variance;
      squares += r * r;
    }
    const double prior = 1.0 / (options.skew_sd * options.skew_sd);
    normal.diagonal().segment<3>(kSkew).array() += prior;
    gradient.segment<3>(kSkew) += prior * p.segment<3>(kSkew);
    const Parameters change = normal.ldlt().solve(gradient);
    p -= change;
    // Skews count as free as far as the poses told them.
    const double skews =
        3.0 - (uncertainty(normal).segment<3>(kSkew) / options.skew_sd).squaredNorm();
    const double freedom =
        std::max(0.0, static_cast<double>(poses.size()) - 6.0 - std::max(0.0, skews));
    variance =
        (kStatedPoses * options.pose_sd * options.pose_sd + squares) / (kStatedPoses + freedom);
    if (change.norm() < 1e-10) break;
  }
  return {p, uncertainty(normal)};
}

Result<void> check_solution(const Solution& s) {
  constexpr double kWorstGain_u = 0.01, kWorstOffset_u = 0.1;  // no better than uncalibrated
  const bool useless = !s.p.allFinite() || s.u.segment<3>(kGain).maxCoeff() > kWorstGain_u ||
                       s.u.segment<3>(kOffset).maxCoeff() > kWorstOffset_u;
  if (useless) {
    return fail("the poses do not tell the accelerometer's scale and offset", "calibration",
                "hold the strap still in more, and more different, poses");
  }
  constexpr double kMostGain = 0.2;
  const Vector3d gain = s.p.segment<3>(kGain);
  for (Index axis = 0; axis < 3; ++axis) {
    if (std::abs(gain[axis] - 1.0) <= kMostGain) continue;
    return fail(fmt::format("the {} axis would need a gain of {:.2f}", "xyz"[axis], gain[axis]),
                "calibration", "check the unit and scale of the readings");
  }
  return {};
}

}  // namespace

double gravity_residual(const std::vector<StillPose>& poses, const TriadCalibration& acc,
                        double gravity) {
  double squares = 0.0;
  for (const StillPose& pose : poses) {
    const double r = (acc.gain * (pose.acc_mean - acc.offset)).norm() - gravity;
    squares += r * r;
  }
  return std::sqrt(squares / static_cast<double>(poses.size()));
}

Result<EllipsoidFit> fit_gravity_ellipsoid(const std::vector<StillPose>& poses,
                                           const CalibrationOptions& options) {
  if (const auto ok = check_cover(poses); !ok) return tl::make_unexpected(ok.error());
  const auto start = linear_start(poses, options.gravity);
  if (!start) return tl::make_unexpected(start.error());
  const Solution solution = refine(poses, *start, options);
  if (const auto ok = check_solution(solution); !ok) return tl::make_unexpected(ok.error());
  EllipsoidFit fit;
  fit.acc.gain = gain_of(solution.p);
  fit.acc.gain_u = gain_of(solution.u);
  fit.acc.offset = solution.p.segment<3>(kOffset);
  fit.acc.offset_u = solution.u.segment<3>(kOffset);
  fit.skew_seen = solution.u.segment<3>(kSkew).maxCoeff() < 0.5 * options.skew_sd;
  return fit;
}

}  // namespace strapline::dsp
