#include "strapline/dsp/hinge.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/SVD>

#include "strapline/dsp/rotation.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr std::size_t kLeastSamples = 20;
constexpr double kSearch = 1.05;         // rad (60°)
constexpr double kLeastSpread = 0.26;    // rad (15°)
constexpr double kVerticalLimit = 0.97;  // cos 15°
constexpr double kIndependent = 8.0;     // views: samples of a slow movement repeat each other

/// Σ R_aᵀ Rot(δ) R_b over the samples, as A + cos δ·B + sin δ·C.
struct Moments {
  Matrix3d constant = Matrix3d::Zero(), cosine = Matrix3d::Zero(), sine = Matrix3d::Zero();
  double count = 0.0;

  [[nodiscard]] Matrix3d at(double delta) const {
    return (constant + std::cos(delta) * cosine + std::sin(delta) * sine) / count;
  }
};

Moments moments(const GridMotion& a, const GridMotion& b, const std::vector<Index>& samples) {
  const Matrix3d vertical = world_up() * world_up().transpose();
  const Matrix3d flat = Matrix3d::Identity() - vertical;
  const Matrix3d turn = skew(world_up());
  Moments m;
  for (const Index i : samples) {
    const auto at = static_cast<std::size_t>(i);
    if (a.known[at] == 0 || b.known[at] == 0) continue;
    const Matrix3d ra = a.q_world_from_sensor[at].toRotationMatrix();
    const Matrix3d rb = b.q_world_from_sensor[at].toRotationMatrix();
    m.constant += ra.transpose() * vertical * rb;
    m.cosine += ra.transpose() * flat * rb;
    m.sine += ra.transpose() * turn * rb;
    m.count += 1.0;
  }
  return m;
}

double agreement(const Moments& m, double delta) {
  return Eigen::JacobiSVD<Matrix3d>(m.at(delta)).singularValues()[0];
}

/// Largest agreement over the heading: a grid of 1°, then a parabola through the best three.
double best_heading(const Moments& m, double guess) {
  constexpr double kStep = 0.01745;
  double best = guess, most = -1.0;
  for (double delta = guess - kSearch; delta <= guess + kSearch; delta += kStep) {
    const double value = agreement(m, delta);
    if (value > most) {
      most = value;
      best = delta;
    }
  }
  const double left = agreement(m, best - kStep), right = agreement(m, best + kStep);
  const double bend = left - 2.0 * most + right;
  return bend < 0.0 ? best + 0.5 * kStep * (left - right) / bend : best;
}

/// The best axes at one heading; none where the segments turn less than `least_turn` rad.
std::optional<Hinge> hinge_at(const Moments& m, double heading, double least_turn) {
  const Eigen::JacobiSVD<Matrix3d> svd(m.at(heading), Eigen::ComputeFullU | Eigen::ComputeFullV);
  if (1.0 - svd.singularValues()[1] < 0.5 * least_turn * least_turn) return std::nullopt;
  Hinge hinge;
  hinge.axis_a = svd.matrixU().col(0);
  hinge.axis_b = svd.matrixV().col(0);
  hinge.heading_a_from_b = heading;
  hinge.mismatch = std::sqrt(2.0 * std::max(0.0, 1.0 - svd.singularValues()[0]));
  return hinge;
}

}  // namespace

tl::expected<Hinge, NoHinge> find_hinge(const GridMotion& a, const GridMotion& b,
                                        const std::vector<Index>& samples, double heading_guess) {
  const Moments m = moments(a, b, samples);
  if (m.count < static_cast<double>(kLeastSamples)) {
    return tl::make_unexpected(NoHinge::too_little_data);
  }
  const double heading = wrap_angle(best_heading(m, heading_guess));
  const Eigen::JacobiSVD<Matrix3d> svd(m.at(heading), Eigen::ComputeFullU | Eigen::ComputeFullV);
  // A pure hinge has singular values 1, c, c with c the mean resultant of its turns: 1 − c is half
  // their variance.
  const Vector3d values = svd.singularValues();
  if (1.0 - values[1] < 0.5 * kLeastSpread * kLeastSpread) {
    return tl::make_unexpected(NoHinge::hardly_turns);
  }
  Hinge hinge;
  hinge.axis_a = svd.matrixU().col(0);
  hinge.axis_b = svd.matrixV().col(0);
  hinge.heading_a_from_b = heading;
  hinge.mismatch = std::sqrt(2.0 * std::max(0.0, 1.0 - values[0]));
  double vertical = 0.0;
  for (const Index i : samples) {
    vertical += std::abs((a.q_world_from_sensor[static_cast<std::size_t>(i)] * hinge.axis_a).y()) /
                static_cast<double>(samples.size());
  }
  if (vertical > kVerticalLimit) return tl::make_unexpected(NoHinge::vertical_axis);
  hinge.heading_u = hinge.mismatch / std::sqrt(kIndependent * (1.0 - vertical * vertical));
  return hinge;
}

std::vector<Hinge> hinge_candidates(const GridMotion& a, const GridMotion& b,
                                    const std::vector<Index>& samples, double least_turn) {
  constexpr std::size_t kHeadings = 120;
  constexpr double kStep = 2.0 * std::numbers::pi / kHeadings;
  const Moments m = moments(a, b, samples);
  if (m.count < 1.0) return {};
  std::vector<double> value;
  for (std::size_t k = 0; k < kHeadings; ++k) {
    value.push_back(agreement(m, static_cast<double>(k) * kStep));
  }
  std::vector<char> tried(kHeadings, 0);
  for (std::size_t k = 0; k < kHeadings; ++k) {
    if (value[k] < value[(k + 1) % kHeadings]) continue;
    if (value[k] <= value[(k + kHeadings - 1) % kHeadings]) continue;
    tried[k] = tried[(k + kHeadings / 2) % kHeadings] = 1;
  }
  std::vector<Hinge> found;
  for (std::size_t k = 0; k < kHeadings; ++k) {
    if (tried[k] == 0) continue;
    const auto hinge = hinge_at(m, wrap_angle(static_cast<double>(k) * kStep), least_turn);
    if (hinge) found.push_back(*hinge);
  }
  std::sort(found.begin(), found.end(),
            [](const Hinge& x, const Hinge& y) { return x.mismatch < y.mismatch; });
  if (found.size() > 4) found.resize(4);
  return found;
}

}  // namespace strapline::dsp
