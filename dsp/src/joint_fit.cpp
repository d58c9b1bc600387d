#include "joint_fit.hpp"

#include <algorithm>
#include <cmath>

#include "strapline/dsp/rotation.hpp"

#include "slow_error_solver.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr int kRounds = 12;
constexpr double kTails = 4.0;  // degrees of freedom of Student's t for the mismatches
enum Constant : Index { kAxisA = 0, kAxisB = 2, kLeverA = 4, kLeverB = 7, kConstants = 10 };

using Tangent = Eigen::Matrix<double, 3, 2>;

Tangent across(const Vector3d& axis) {
  Tangent basis;
  basis.col(0) = axis.unitOrthogonal();
  basis.col(1) = axis.cross(basis.col(0));
  return basis;
}

struct Mismatch {
  Vector3d axis, force;  // in a's world
};

Mismatch mismatch(const JointFit& fit, const JointLook& look) {
  const Matrix3d e = fit.a_from_b(look.t).toRotationMatrix();
  return {
      look.a.q * fit.axis_a - e * look.b.q * fit.axis_b,
      look.a.force + look.a.lever * fit.lever_a - e * (look.b.force + look.b.lever * fit.lever_b)};
}

/// Scale per direction from the median of the squared lengths (`median_of_chi2` for one).
double scale_of(std::vector<double>& squares, double median_of_chi2, double floor) {
  const auto middle = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 2);
  std::nth_element(squares.begin(), middle, squares.end());
  return std::max(floor, std::sqrt(*middle / median_of_chi2));
}

void set_scales(JointFit& fit, const std::vector<JointLook>& looks, const JointParams& p) {
  std::vector<double> axis, force;
  for (const JointLook& look : looks) {
    const Mismatch m = mismatch(fit, look);
    axis.push_back(m.axis.squaredNorm());
    force.push_back(m.force.squaredNorm());
  }
  fit.play = scale_of(axis, 1.386, p.play_floor);
  fit.force = scale_of(force, 2.366, p.force_floor);
}

double weight(double squared, double dimensions) {
  return (kTails + dimensions) / (kTails + squared);
}

/// One look is worth less than a look where the mismatch lasts longer than the step.
double repeats(double lasting_s, double step_s) { return std::max(1.0, 2.0 * lasting_s / step_s); }

void add_looks(SlowErrorSolver& solver, const JointFit& fit, const std::vector<JointLook>& looks,
               const JointParams& p) {
  const Tangent turn_a = across(fit.axis_a), turn_b = across(fit.axis_b);
  const double axis_repeats = repeats(p.play_time, p.step_s);
  const double force_repeats = repeats(p.force_time, p.step_s);
  for (const JointLook& look : looks) {
    const double at = (look.t - fit.start_s) / fit.knot_s;
    const auto knot = std::min(static_cast<std::size_t>(std::max(0.0, at)), fit.knots.size() - 2);
    const double part = at - static_cast<double>(knot);
    const Matrix3d e = fit.a_from_b(look.t).toRotationMatrix();
    const Mismatch m = mismatch(fit, look);
    const double axis_weight =
        std::sqrt(weight(m.axis.squaredNorm() / (fit.play * fit.play), 2.0) / axis_repeats) /
        fit.play;
    MatrixXd by_constants = MatrixXd::Zero(3, kConstants);
    by_constants.middleCols<2>(kAxisA) = axis_weight * look.a.q * turn_a;
    by_constants.middleCols<2>(kAxisB) = -axis_weight * e * look.b.q * turn_b;
    // With x the correction: mismatch + J·x → 0.
    solver.observe(knot, part, axis_weight * skew(e * look.b.q * fit.axis_b), by_constants,
                   -axis_weight * m.axis);
    const double force_weight =
        std::sqrt(weight(m.force.squaredNorm() / (fit.force * fit.force), 3.0) / force_repeats) /
        fit.force;
    by_constants.setZero();
    by_constants.middleCols<3>(kLeverA) = force_weight * look.a.lever;
    by_constants.middleCols<3>(kLeverB) = -force_weight * e * look.b.lever;
    solver.observe(knot, part, force_weight * skew(e * (look.b.force + look.b.lever * fit.lever_b)),
                   by_constants, -force_weight * m.force);
  }
}

/// What is known of the errors beforehand: inclinations fade, the heading walks.
void add_expectations(SlowErrorSolver& solver, const JointFit& fit,
                      const std::vector<JointLook>& looks, const JointParams& p) {
  const double fade = std::exp(-fit.knot_s / p.tilt_time);
  const double calm_walk = p.heading_drift * p.heading_drift * fit.knot_s;
  std::size_t look = 0;
  double heading_variance = looks.front().heading_variance;
  for (std::size_t k = 0; k < fit.knots.size(); ++k) {
    const double t = fit.start_s + static_cast<double>(k) * fit.knot_s;
    while (look + 1 < looks.size() && looks[look].t < t) ++look;
    const double tilt = looks[look].tilt_u * looks[look].tilt_u + p.tilt_floor * p.tilt_floor;
    if (k == 0) {
      const Vector3d information(1.0 / tilt, 0.0, 1.0 / tilt);
      solver.anchor(0, information, -fit.knots[0]);
      continue;
    }
    // In a gap the straps' own headings are lost faster than they drift.
    const double walk = calm_walk + std::abs(looks[look].heading_variance - heading_variance);
    heading_variance = looks[look].heading_variance;
    const Vector3d kept(fade, 1.0, fade);
    const double level = 1.0 / (tilt * (1.0 - fade * fade));
    solver.tie(k - 1, kept, {level, 1.0 / walk, level},
               kept.cwiseProduct(fit.knots[k - 1]) - fit.knots[k]);
  }
  const double lever = 1.0 / (p.lever_sd * p.lever_sd);
  for (Index i = 0; i < 3; ++i) {
    solver.anchor_constant(kLeverA + i, lever, -fit.lever_a[i]);
    solver.anchor_constant(kLeverB + i, lever, -fit.lever_b[i]);
  }
  for (Index i = kAxisA; i < kLeverA; ++i) solver.anchor_constant(i, 1.0, 0.0);
}

void take(const SlowErrorSolver& solver, JointFit& fit) {
  for (std::size_t k = 0; k < fit.knots.size(); ++k) {
    fit.knots[k] += solver.knot(k);
    fit.covariance[k] = solver.knot_covariance(k);
  }
  const Eigen::VectorXd& c = solver.constants();
  fit.axis_a = (fit.axis_a + across(fit.axis_a) * c.segment<2>(kAxisA)).normalized();
  fit.axis_b = (fit.axis_b + across(fit.axis_b) * c.segment<2>(kAxisB)).normalized();
  fit.lever_a += c.segment<3>(kLeverA);
  fit.lever_b += c.segment<3>(kLeverB);
  const MatrixXd& spread = solver.constants_covariance();
  fit.axis_a_u = std::sqrt(0.5 * spread.block<2, 2>(kAxisA, kAxisA).trace());
  fit.axis_b_u = std::sqrt(0.5 * spread.block<2, 2>(kAxisB, kAxisB).trace());
}

double cost_of(const JointFit& fit, const std::vector<JointLook>& looks, const JointParams& p) {
  double cost = 0.0;
  for (const JointLook& look : looks) {
    const Mismatch m = mismatch(fit, look);
    const double axis = m.axis.squaredNorm() / (fit.play * fit.play);
    const double force = m.force.squaredNorm() / (fit.force * fit.force);
    cost += ((kTails + 2.0) * std::log1p(axis / kTails) + 4.0 * std::log(fit.play)) /
            repeats(p.play_time, p.step_s);
    cost += ((kTails + 3.0) * std::log1p(force / kTails) + 6.0 * std::log(fit.force)) /
            repeats(p.force_time, p.step_s);
  }
  return cost;
}

}  // namespace

std::pair<std::size_t, double> JointFit::place(double t) const {
  const double at = std::clamp((t - start_s) / knot_s, 0.0, static_cast<double>(knots.size() - 1));
  const auto k = std::min(static_cast<std::size_t>(at), knots.size() - 2);
  return {k, at - static_cast<double>(k)};
}

Vector3d JointFit::error_at(double t) const {
  const auto [k, part] = place(t);
  return (1.0 - part) * knots[k] + part * knots[k + 1];
}

Matrix3d JointFit::covariance_at(double t) const {
  const auto [k, part] = place(t);
  return (1.0 - part) * covariance[k] + part * covariance[k + 1];
}

Eigen::Quaterniond JointFit::a_from_b(double t) const {
  const Vector3d error = error_at(t);
  return exp_rotation({error.x(), 0.0, error.z()}) * turn_about_vertical(error.y());
}

JointFit fit_joint(const std::vector<JointLook>& looks, const JointParams& params,
                   const Vector3d& axis_a, const Vector3d& axis_b,
                   const std::vector<double>& heading) {
  JointFit fit;
  fit.axis_a = axis_a;
  fit.axis_b = axis_b;
  fit.start_s = looks.front().t;
  fit.knot_s = params.knot_s;
  const auto count =
      static_cast<std::size_t>(std::ceil((looks.back().t - fit.start_s) / fit.knot_s)) + 1;
  fit.knots.assign(std::max<std::size_t>(2, count), Vector3d::Zero());
  std::size_t look = 0;
  for (std::size_t k = 0; k < fit.knots.size(); ++k) {
    const double t = fit.start_s + static_cast<double>(k) * fit.knot_s;
    while (look + 1 < looks.size() && looks[look].t < t) ++look;
    fit.knots[k].y() = heading[look];
  }
  fit.covariance.assign(fit.knots.size(), Matrix3d::Zero());
  for (int round = 0; round < kRounds; ++round) {
    set_scales(fit, looks, params);
    SlowErrorSolver solver(fit.knots.size(), kConstants);
    add_expectations(solver, fit, looks, params);
    add_looks(solver, fit, looks, params);
    solver.solve();
    take(solver, fit);
  }
  fit.cost = cost_of(fit, looks, params);
  return fit;
}

}  // namespace strapline::dsp
