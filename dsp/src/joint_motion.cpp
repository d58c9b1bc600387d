#include "strapline/dsp/joint_motion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "strapline/dsp/hinge.hpp"
#include "strapline/dsp/rotation.hpp"

#include "joint_fit.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr std::size_t kLeastLooks = 20;
constexpr double kStartPosture = 0.5;    // s
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

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Zero in the start posture, positive towards the larger excursion from it.
void from_start_posture(JointMotion& motion) {
  std::vector<double> start;
  for (Index i = 0; i < motion.t.size() && motion.t[i] <= motion.t[0] + kStartPosture; ++i) {
    start.push_back(motion.flexion[i]);
  }
  motion.flexion.array() -= median(start);
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
  from_start_posture(out);
  return out;
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
  const std::vector<Hinge> guesses = hinge_candidates(
      at_looks(looks, &JointLook::a), at_looks(looks, &JointLook::b), params.least_turn);
  if (guesses.empty()) {
    return fail("the two segments hardly turn against each other", {},
                "bend the joint two or three times");
  }
  JointFit best;
  for (const Hinge& guess : guesses) {
    JointFit fit = fit_joint(looks, params, guess.axis_a, guess.axis_b, guess.heading_a_from_b);
    if (best.knots.empty() || fit.cost < best.cost) best = std::move(fit);
  }
  return motion_of(pair, best, params);
}

}  // namespace strapline::dsp
