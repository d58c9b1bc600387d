#pragma once

#include <Eigen/Geometry>

#include "jet.hpp"

namespace strapline::recordings::synthetic {

/// A segment's place in the world (Y up, X forwards, Z right): its upper joint's centre and the
/// rotation whose columns are the segment's X, Y and Z.
template <class S>
struct SegmentFrame {
  Vector3<S> origin;
  Matrix3<S> world_from_segment;
};

/// A segment at one time, and how far its skin is pulled: 1 at full flexion of the joint that does.
struct PosedSegment {
  SegmentFrame<Jet> frame;
  Jet pull;
  Jet slip{};  ///< rad, how far a strap there is turned about the limb by somebody's hand
};

template <class S>
struct SidePair {
  S left{};
  S right{};
};

template <class S>
Matrix3<S> frame_from_y_z(const Vector3<S>& y, const Vector3<S>& z) {
  Matrix3<S> frame;
  frame.col(0) = y.cross(z);
  frame.col(1) = y;
  frame.col(2) = z;
  return frame;
}

/// Turn about the own Y.
template <class S>
Matrix3<S> twisted(const Matrix3<S>& frame, const S& angle) {
  using std::cos;
  using std::sin;
  const S c = cos(angle);
  const S s = sin(angle);
  Matrix3<S> turned = frame;
  turned.col(0) = frame.col(0) * c - frame.col(2) * s;
  turned.col(2) = frame.col(2) * c + frame.col(0) * s;
  return turned;
}

/// Turn to the left about Y, lean to the right about X, lean forwards about Z, in this order.
template <class S>
Matrix3<S> upright_frame(const S& turn, const S& side_lean, const S& lean) {
  using std::cos;
  using std::sin;
  const S ct = cos(turn), st = sin(turn);
  const S cs = cos(side_lean), ss = sin(side_lean);
  const S cl = cos(lean), sl = sin(lean);
  const S zero(0.0);
  const S one(1.0);
  Matrix3<S> about_y, about_x, about_z;
  about_y << ct, zero, st, zero, one, zero, -st, zero, ct;
  about_x << one, zero, zero, zero, cs, -ss, zero, ss, cs;
  about_z << cl, sl, zero, -sl, cl, zero, zero, zero, one;
  return about_y * about_x * about_z;
}

/// Rotation by an angle about a unit axis (Rodrigues).
template <class S>
Matrix3<S> turn_about(const Eigen::Vector3d& axis, const S& angle) {
  using std::cos;
  using std::sin;
  const Eigen::Matrix3d outer = axis * axis.transpose();
  Eigen::Matrix3d skew;
  skew << 0.0, -axis.z(), axis.y(), axis.z(), 0.0, -axis.x(), -axis.y(), axis.x(), 0.0;
  const S c = cos(angle);
  const S s = sin(angle);
  Matrix3<S> turn;
  for (int i = 0; i < 9; ++i) {
    const double unit = i % 4 == 0 ? 1.0 : 0.0;
    turn.data()[i] = S(outer.data()[i]) + c * S(unit - outer.data()[i]) + s * S(skew.data()[i]);
  }
  return turn;
}

/// Angular rate in world axes, from Ṙ = [ω]× R.
inline Eigen::Vector3d angular_rate_world(const Matrix3<Jet>& rotation) {
  Eigen::Matrix3d value;
  Eigen::Matrix3d rate;
  for (int i = 0; i < 9; ++i) {
    value.data()[i] = rotation.data()[i].v;
    rate.data()[i] = rotation.data()[i].d;
  }
  const Eigen::Matrix3d skew = rate * value.transpose();
  return {0.5 * (skew(2, 1) - skew(1, 2)), 0.5 * (skew(0, 2) - skew(2, 0)),
          0.5 * (skew(1, 0) - skew(0, 1))};
}

inline Eigen::Matrix3d value_of(const Matrix3<Jet>& m) {
  return m.unaryExpr([](const Jet& x) { return x.v; });
}
inline Eigen::Vector3d value_of(const Vector3<Jet>& m) { return {m[0].v, m[1].v, m[2].v}; }
inline Eigen::Vector3d rate_of(const Vector3<Jet>& m) { return {m[0].d, m[1].d, m[2].d}; }
inline Eigen::Vector3d second_of(const Vector3<Jet>& m) { return {m[0].dd, m[1].dd, m[2].dd}; }

}  // namespace strapline::recordings::synthetic
