#pragma once

#include <cmath>

#include "segment_frame.hpp"
#include "set_plan.hpp"

namespace strapline::recordings::synthetic {

/// Where one foot is: on the floor but for the step that places it anew.
template <class S>
struct FootPlace {
  S toe_out{};   ///< rad
  S outwards{};  ///< m, of the ankle from the middle
  S lift{};      ///< m, of the ankle above its height on the floor
  S heel{};      ///< rad, heel up about the foot's Z
  S flexion{};   ///< rad, by which the step bends the knee
};

/// Horizontal unit vectors of a foot: along the toe line, and inwards (towards the other leg).
template <class S>
struct ToeLine {
  Vector3<S> along, inwards;
};

template <class S>
ToeLine<S> toe_line(const S& toe_out, bool right) {
  using std::cos;
  using std::sin;
  const double side = right ? 1.0 : -1.0;
  const S c = cos(toe_out);
  const S s = sin(toe_out);
  return {{c, S(0.0), S(side) * s}, {s, S(0.0), S(-side) * c}};
}

inline double of_side(const Sides& sides, bool right) { return right ? sides.right : sides.left; }

/// The foot's frame: X along the toe line and Y up while it is flat, the heel lifted about Z.
template <class S>
Matrix3<S> foot_frame(const ToeLine<S>& line, const S& heel) {
  const Vector3<S> up(S(0.0), S(1.0), S(0.0));
  const Matrix3<S> flat = frame_from_y_z<S>(up, line.along.cross(up));
  return flat * turn_about<S>(Eigen::Vector3d::UnitZ(), -heel);
}

/// Squared distance from ankle to hip at a knee flexion (law of cosines).
template <class S>
S leg_length_squared(const BodyLengths& body, const S& flexion) {
  using std::cos;
  const double a = body.shank;
  const double b = body.thigh;
  return S(a * a + b * b) + S(2.0 * a * b) * cos(flexion);
}

/// Stance, and the step to the next one with the knee bent and the heel up on the way.
template <class S>
FootPlace<S> foot_at(const SetPlan& plan, bool right, const S& t) {
  const Stance& stance = plan.params.stance;
  const Restance& anew = plan.params.restance;
  const double from = of_side(plan.steps_from, right);
  FootPlace<S> foot;
  const S x = (t - S(from)) / S(anew.step);
  const S there = anew.any() ? smoothstep<S>(x) : S(0.0);
  const S amid = anew.any() ? bump<S>(x) : S(0.0);
  foot.toe_out = S(of_side(stance.toe_out, right)) + S(of_side(anew.toe_out, right)) * there;
  foot.outwards = S(0.5 * stance.ankle_spacing) + S(0.5 * anew.ankle_spacing) * there;
  foot.heel = S(anew.heel_up) * amid;
  foot.flexion = S(anew.flexion) * amid;
  return foot;
}

/// As much higher as the bent knee makes the leg shorter: the hips stay where they are.
template <class S>
void lift_by_flexion(const BodyLengths& body, const S& flexion, FootPlace<S>& foot) {
  using std::sqrt;
  foot.lift = sqrt(leg_length_squared<S>(body, flexion - foot.flexion)) -
              sqrt(leg_length_squared<S>(body, flexion));
}

}  // namespace strapline::recordings::synthetic
