#include "strapline/dsp/joint_motion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/rotation.hpp"

#include "joint_fit.hpp"
#include "median.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr std::size_t kLeastLooks = 20;
constexpr std::size_t kSearched = 3;     // stretches
constexpr double kVerticalLimit = 0.97;  // cos 15°

/// The pair at its looks, as the search for a hinge wants it.
GridMotion at_looks(const std::vector<JointLook>& looks, StrapLook JointLook::*strap) {
  GridMotion motion;
  for (const JointLook& look : looks) {
    motion.q_world_from_sensor.emplace_back((look.*strap).q);
  }
  motion.known.assign(looks.size(), 1);
  return motion;
}

using Stretch = std::vector<Index>;  // looks without a gap between them

std::vector<Stretch> stretches_of(const std::vector<JointLook>& looks, double step_s) {
  std::vector<Stretch> stretches;
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (i == 0 || looks[i].t - looks[i - 1].t > 3.0 * step_s) stretches.emplace_back();
    stretches.back().push_back(static_cast<Index>(i));
  }
  return stretches;
}

/// The heading that brings the axes together, one for each stretch: a gap may have lost it.
std::vector<double> heading_by_stretch(const std::vector<JointLook>& looks,
                                       const std::vector<Stretch>& stretches, const Hinge& guess) {
  std::vector<double> heading(looks.size());
  double last = guess.heading_a_from_b;
  for (const Stretch& stretch : stretches) {
    double along = 0.0, across = 0.0;
    for (const Index i : stretch) {
      const JointLook& look = looks[static_cast<std::size_t>(i)];
      const Vector3d a = look.a.q * guess.axis_a, b = look.b.q * guess.axis_b;
      along += a.x() * b.x() + a.z() * b.z();
      across += a.x() * b.z() - a.z() * b.x();
    }
    last += wrap_angle(std::atan2(across, along) - last);
    for (const Index i : stretch) heading[static_cast<std::size_t>(i)] = last;
  }
  return heading;
}

/// Candidates for the hinge from the longest stretches, each with one heading.
std::vector<Hinge> guesses_of(const std::vector<JointLook>& looks, std::vector<Stretch> stretches,
                              const JointParams& params) {
  const GridMotion a = at_looks(looks, &JointLook::a), b = at_looks(looks, &JointLook::b);
  std::stable_sort(stretches.begin(), stretches.end(),
                   [](const Stretch& x, const Stretch& y) { return x.size() > y.size(); });
  std::vector<Hinge> guesses;
  for (std::size_t k = 0; k < std::min(kSearched, stretches.size()); ++k) {
    const std::vector<Hinge> found = hinge_candidates(a, b, stretches[k], params.least_turn);
    guesses.insert(guesses.end(), found.begin(), found.end());
  }
  return guesses;
}

/// Turn of b against a about the hinge, rad, unwrapped.
Eigen::VectorXd turn_about_hinge(const StrapPair& pair, const JointFit& fit) {
  const Quaterniond a_from_b_axis = Quaterniond::FromTwoVectors(fit.axis_b, fit.axis_a);
  Eigen::VectorXd angle(pair.t.size());
  for (Index i = 0; i < pair.t.size(); ++i) {
    const auto at = static_cast<std::size_t>(i);
    const Quaterniond relative = pair.a.q_world_from_sensor[at].conjugate() *
                                 fit.a_from_b(pair.t[i]) * pair.b.q_world_from_sensor[at] *
                                 a_from_b_axis.conjugate();
    const double turn = 2.0 * std::atan2(relative.vec().dot(fit.axis_a), relative.w());
    angle[i] = i == 0 ? wrap_angle(turn) : angle[i - 1] + wrap_angle(turn - angle[i - 1]);
  }
  return angle;
}

/// Zero in the start posture, positive towards the larger excursion from it.
void from_start_posture(JointMotion& motion, double start_posture) {
  std::vector<double> start;
  for (Index i = 0; i < motion.t.size() && motion.t[i] <= motion.t[0] + start_posture; ++i) {
    start.push_back(motion.flexion[i]);
  }
  motion.flexion.array() -= median_of(start);
  if (motion.flexion.maxCoeff() >= -motion.flexion.minCoeff()) return;
  motion.flexion = -motion.flexion;
  motion.axis_a = -motion.axis_a;
  motion.axis_b = -motion.axis_b;
}

/// What the moment of a reading leaves open, rad: half a sample and the latency, times the rate.
double moment_u(const JointMotion& motion, Index i, double latency_u) {
  const Index last = motion.t.size() - 1;
  const Index before = std::max<Index>(0, i - 1), after = std::min(last, i + 1);
  const double span = motion.t[after] - motion.t[before];
  const double rate = (motion.flexion[after] - motion.flexion[before]) / span;
  const double half_sample = 0.5 * (motion.t[last] - motion.t[0]) / static_cast<double>(last);
  return std::abs(rate) * std::hypot(half_sample, latency_u);
}

JointMotion motion_of(const StrapPair& pair, const JointFit& fit, const JointParams& params) {
  JointMotion out;
  const Index n = pair.t.size();
  out.t = pair.t;
  out.axis_a = fit.axis_a;
  out.axis_b = fit.axis_b;
  out.axis_a_u = fit.axis_a_u;
  out.axis_b_u = fit.axis_b_u;
  out.play = fit.play;
  out.lever_a = fit.lever_a;
  out.lever_b = fit.lever_b;
  out.flexion = turn_about_hinge(pair, fit);
  out.flexion_u = out.heading_a_from_b = out.heading_u = Eigen::VectorXd::Zero(n);
  out.heading_observable.assign(static_cast<std::size_t>(n), 1);
  for (Index i = 0; i < n; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const Vector3d axis = pair.a.q_world_from_sensor[at] * fit.axis_a;
    const Eigen::Matrix3d spread = fit.covariance_at(pair.t[i]);
    out.flexion_u[i] = std::hypot(std::sqrt(std::max(0.0, axis.dot(spread * axis))),
                                  moment_u(out, i, params.latency_u));
    out.heading_a_from_b[i] = fit.error_at(pair.t[i]).y();
    out.heading_u[i] = std::sqrt(std::max(0.0, spread(1, 1)));
    if (std::abs(axis.y()) > kVerticalLimit) out.heading_observable[at] = 0;
  }
  from_start_posture(out, params.start_posture);
  return out;
}

tl::unexpected<Failure> hardly_turned() {
  return fail("the two segments hardly turn against each other", {},
              "bend the joint two or three times");
}

}  // namespace

Result<JointMotion> joint_motion(const WornStrap& a, const WornStrap& b,
                                 const JointParams& params) {
  const StrapPair pair = pair_up(a, b);
  const std::vector<JointLook> looks = looks_at_joint(pair, params.step_s);
  if (looks.size() < kLeastLooks) {
    return fail("the two straps have too little time in common", {},
                "record both straps for several seconds of movement");
  }
  const std::vector<Stretch> stretches = stretches_of(looks, params.step_s);
  const std::vector<Hinge> guesses = guesses_of(looks, stretches, params);
  if (guesses.empty()) return hardly_turned();
  JointFit best;
  for (const Hinge& guess : guesses) {
    JointFit fit = fit_joint(looks, params, guess.axis_a, guess.axis_b,
                             heading_by_stretch(looks, stretches, guess));
    if (best.knots.empty() || fit.cost < best.cost) best = std::move(fit);
  }
  JointMotion motion = motion_of(pair, best, params);
  const Eigen::ArrayXd about_mean = motion.flexion.array() - motion.flexion.mean();
  if (about_mean.square().mean() < params.least_turn * params.least_turn) return hardly_turned();
  return motion;
}

}  // namespace strapline::dsp
