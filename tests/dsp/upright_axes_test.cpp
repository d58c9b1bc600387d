// A joint whose axis stands upright in the reps: gravity does not show its flexion, and the result
// has to say so.
#include <algorithm>
#include <cmath>
#include <functional>

#include <gtest/gtest.h>

#include "strapline/dsp/set_analysis.hpp"

#include "swinging_strap.hpp"

namespace strapline::dsp {
namespace {

using Eigen::Index;
using Eigen::Quaterniond;
using Eigen::Vector3d;
using testing::bends;
using testing::kDegree;

using Attitude = std::function<Quaterniond(double)>;

/// A strap on a segment that turns about the origin, by differences of its path (step 1 ms).
InertialSeries record(const Attitude& q_world_from_segment, const Vector3d& arm,
                      const Quaterniond& mounted, double seconds) {
  constexpr double kRate = 100.0, h = 1e-3;
  const auto n = static_cast<Index>(seconds * kRate);
  InertialSeries out{Eigen::VectorXd(n), Eigen::Matrix3Xd(3, n), Eigen::Matrix3Xd(3, n), {}};
  for (Index i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / kRate;
    const auto q = [&](double at) { return q_world_from_segment(at) * mounted; };
    const auto p = [&](double at) -> Vector3d { return q_world_from_segment(at) * arm; };
    const Vector3d acceleration = (p(t + h) - 2.0 * p(t) + p(t - h)) / (h * h);
    out.t[i] = t;
    out.gyr.col(i) = log_rotation(q(t - h).conjugate() * q(t + h)) / (2.0 * h);
    out.acc.col(i) = q(t).conjugate() * (acceleration + testing::kGravity * world_up());
  }
  return out;
}

constexpr double kSet = 20.0;  // s, begins

/// The right arm's raise to the side, rad: once for the alignment, then from 17 s on for good.
double raised(double t) {
  const double once = bends(t, 13.0, 1, 3.0, 0.0, 90.0 * kDegree).angle;
  const double stay = bends(std::min(t, 18.5), 17.0, 1, 3.0, 0.0, 90.0 * kDegree).angle;
  return once + stay;
}

/// The elbow's flexion, rad: two easy bends of the hanging arm, then five of the raised one.
double flexed(double t) {
  return bends(t, 4.0, 2, 3.0, 0.8, 90.0 * kDegree).angle +
         bends(t, kSet + 0.5, 5, 2.6, 1.0, 100.0 * kDegree).angle;
}

Quaterniond upper_arm(double t) { return exp_rotation({-raised(t), 0.0, 0.0}); }
Quaterniond forearm(double t) { return upper_arm(t) * exp_rotation({0.0, 0.0, flexed(t)}); }

SetInput raised_curls() {
  SetInput input;
  input.straps = {{{Segment::upper_arm, Side::right},
                   record(upper_arm, {0.05, -0.15, 0.0}, exp_rotation({0.1, 0.4, -0.1}), 40.0),
                   {}},
                  {{Segment::forearm, Side::right},
                   record(forearm, {0.03, -0.2, 0.0}, exp_rotation({-0.1, 0.3, 0.15}), 40.0),
                   {}}};
  input.parts.still = Interval{0.5, 3.5};
  input.parts.align = Interval{3.9, 16.5};
  input.parts.set = Interval{19.0, 39.5};
  input.movement.name = "raised curl";
  input.movement.range_angle = RangeAngle::elbow_flexion;
  input.movement.first_phase = FirstPhase::lifting;
  input.movement.measures = {"elbow_flexion", "forearm_tilt"};
  return input;
}

TEST(UprightAxes, AnElbowThatBendsAboutTheVerticalIsSaidAndLessCertain) {
  const auto result = analyse_set(raised_curls());
  ASSERT_TRUE(result) << result.error().line();
  EXPECT_EQ(result->full_reps(), 5);
  const bool said = std::any_of(result->notes.begin(), result->notes.end(), [](const auto& note) {
    return note.starts_with("the axis of the right elbow stays near vertical");
  });
  EXPECT_TRUE(said);
  for (const Rep& rep : result->reps) {
    const auto& flexion = std::get<MeasuredValue>(rep.measures.at("elbow_flexion_right"));
    // Counted from the 5° at which an elbow told to be straight is taken to be.
    EXPECT_LT(std::abs(flexion.value - 105.0 * kDegree), 2.0 * flexion.u);
    EXPECT_GT(flexion.u, 8.0 * kDegree);  // which way the hinge points is known to 17°
    // What gravity shows stays good.
    EXPECT_LT(std::get<MeasuredValue>(rep.measures.at("forearm_tilt_right")).u, 4.0 * kDegree);
  }
}

}  // namespace
}  // namespace strapline::dsp
