#include "strapline/dsp/butterworth.hpp"

#include <cmath>
#include <numbers>

namespace strapline::dsp {
namespace {

constexpr double kPi = std::numbers::pi;

/// Runs the section (transposed direct form II) from the steady state of x[0].
Eigen::VectorXd pass_from_steady(const Biquad& s, const Eigen::VectorXd& x) {
  Eigen::VectorXd y(x.size());
  // Steady state for a constant input c: output c (unit gain), z2 = (b2 − a2)c, z1 = (1 − b0)c.
  double z1 = (1.0 - s.b0) * x[0];
  double z2 = (s.b2 - s.a2) * x[0];
  for (Eigen::Index i = 0; i < x.size(); ++i) {
    y[i] = s.b0 * x[i] + z1;
    z1 = s.b1 * x[i] - s.a1 * y[i] + z2;
    z2 = s.b2 * x[i] - s.a2 * y[i];
  }
  return y;
}

/// x with `pad` values on either side, mirrored through the end points.
Eigen::VectorXd odd_extension(const Eigen::VectorXd& x, Eigen::Index pad) {
  const Eigen::Index n = x.size();
  Eigen::VectorXd extended(n + 2 * pad);
  extended.segment(pad, n) = x;
  for (Eigen::Index i = 1; i <= pad; ++i) {
    extended[pad - i] = 2.0 * x[0] - x[i];
    extended[pad + n - 1 + i] = 2.0 * x[n - 1] - x[n - 1 - i];
  }
  return extended;
}

}  // namespace

Biquad butterworth_lowpass(double cutoff_hz, double rate_hz) {
  const double k = std::tan(kPi * cutoff_hz / rate_hz);
  const double norm = 1.0 / (1.0 + std::numbers::sqrt2 * k + k * k);
  const double b0 = k * k * norm;
  return {b0, 2.0 * b0, b0, 2.0 * (k * k - 1.0) * norm,
          (1.0 - std::numbers::sqrt2 * k + k * k) * norm};
}

double two_pass_cutoff(double cutoff_hz, double rate_hz) {
  const double c = std::pow(std::numbers::sqrt2 - 1.0, 0.25);
  return std::atan(std::tan(kPi * cutoff_hz / rate_hz) / c) * rate_hz / kPi;
}

Eigen::VectorXd filter(const Biquad& s, const Eigen::VectorXd& x) {
  Eigen::VectorXd y(x.size());
  double z1 = 0.0;
  double z2 = 0.0;
  for (Eigen::Index i = 0; i < x.size(); ++i) {
    y[i] = s.b0 * x[i] + z1;
    z1 = s.b1 * x[i] - s.a1 * y[i] + z2;
    z2 = s.b2 * x[i] - s.a2 * y[i];
  }
  return y;
}

Eigen::VectorXd smooth_lowpass(const Eigen::VectorXd& x, double cutoff_hz, double rate_hz) {
  const Eigen::Index n = x.size();
  if (n < 4 || cutoff_hz >= 0.45 * rate_hz) return x;
  const auto wanted = static_cast<Eigen::Index>(2.0 * rate_hz / cutoff_hz);
  const Eigen::Index pad = std::min<Eigen::Index>(n - 1, std::max<Eigen::Index>(wanted, 6));
  const Biquad section = butterworth_lowpass(two_pass_cutoff(cutoff_hz, rate_hz), rate_hz);
  Eigen::VectorXd y = pass_from_steady(section, odd_extension(x, pad));
  y.reverseInPlace();
  y = pass_from_steady(section, y);
  y.reverseInPlace();
  return y.segment(pad, n);
}

}  // namespace strapline::dsp
