#pragma once

#include <cmath>

#include <Eigen/Core>

namespace strapline::recordings::synthetic {

/// A scalar with its first and second derivative with respect to time. Whatever is computed with
/// it is differentiated exactly (truncated Taylor arithmetic: Griewank & Walther, "Evaluating
/// Derivatives", 2nd ed., chapter 13), so the simulator needs no finite differences.
struct Jet {
  double v = 0.0;   ///< value
  double d = 0.0;   ///< first derivative
  double dd = 0.0;  ///< second derivative

  constexpr Jet() = default;
  // Implicit on purpose: constants mix freely with jets, and Eigen needs it.
  constexpr Jet(double value) : v(value) {}  // NOLINT(google-explicit-constructor)
  constexpr Jet(double value, double first, double second) : v(value), d(first), dd(second) {}

  /// The time itself.
  static constexpr Jet time(double t) { return {t, 1.0, 0.0}; }

  constexpr Jet& operator+=(const Jet& b) {
    v += b.v;
    d += b.d;
    dd += b.dd;
    return *this;
  }
  constexpr Jet& operator-=(const Jet& b) {
    v -= b.v;
    d -= b.d;
    dd -= b.dd;
    return *this;
  }
  constexpr Jet& operator*=(const Jet& b) {
    dd = dd * b.v + 2.0 * d * b.d + v * b.dd;
    d = d * b.v + v * b.d;
    v *= b.v;
    return *this;
  }
  constexpr Jet& operator/=(const Jet& b) {
    v /= b.v;
    d = (d - v * b.d) / b.v;
    dd = (dd - 2.0 * d * b.d - v * b.dd) / b.v;
    return *this;
  }
};

constexpr Jet operator-(const Jet& a) { return {-a.v, -a.d, -a.dd}; }
constexpr Jet operator+(Jet a, const Jet& b) { return a += b; }
constexpr Jet operator-(Jet a, const Jet& b) { return a -= b; }
constexpr Jet operator*(Jet a, const Jet& b) { return a *= b; }
constexpr Jet operator/(Jet a, const Jet& b) { return a /= b; }

/// f(a) from f, f' and f'' at a.v.
constexpr Jet chain(const Jet& a, double f, double f1, double f2) {
  return {f, f1 * a.d, f2 * a.d * a.d + f1 * a.dd};
}

inline Jet sqrt(const Jet& a) {
  const double root = std::sqrt(a.v);
  return chain(a, root, 0.5 / root, -0.25 / (a.v * root));
}
inline Jet sin(const Jet& a) {
  const double s = std::sin(a.v);
  return chain(a, s, std::cos(a.v), -s);
}
inline Jet cos(const Jet& a) {
  const double c = std::cos(a.v);
  return chain(a, c, -std::sin(a.v), -c);
}
inline Jet exp(const Jet& a) {
  const double e = std::exp(a.v);
  return chain(a, e, e, e);
}
/// Not at ±1.
inline Jet asin(const Jet& a) {
  const double w = 1.0 / std::sqrt(1.0 - a.v * a.v);
  return chain(a, std::asin(a.v), w, a.v * w * w * w);
}

/// Angle of (x, y), in (−π, π]; not at the origin.
inline Jet atan2(const Jet& y, const Jet& x) {
  const double size2 = x.v * x.v + y.v * y.v;
  const double cross = x.v * y.d - y.v * x.d;
  const double d = cross / size2;
  const double dd = (x.v * y.dd - y.v * x.dd) / size2 - d * 2.0 * (x.v * x.d + y.v * y.d) / size2;
  return {std::atan2(y.v, x.v), d, dd};
}

constexpr double value_of(double a) { return a; }
constexpr double value_of(const Jet& a) { return a.v; }

template <class S>
using Vector3 = Eigen::Matrix<S, 3, 1>;
template <class S>
using Matrix3 = Eigen::Matrix<S, 3, 3>;

}  // namespace strapline::recordings::synthetic

namespace Eigen {
template <>
struct NumTraits<strapline::recordings::synthetic::Jet>
    : GenericNumTraits<strapline::recordings::synthetic::Jet> {
  using Real = strapline::recordings::synthetic::Jet;
  using NonInteger = Real;
  using Nested = Real;
  enum {
    IsComplex = 0,
    IsInteger = 0,
    IsSigned = 1,
    RequireInitialization = 1,
    ReadCost = 3,
    AddCost = 3,
    MulCost = 6
  };
};
}  // namespace Eigen
