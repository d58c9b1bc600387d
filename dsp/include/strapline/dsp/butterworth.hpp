#pragma once

#include <Eigen/Core>

namespace strapline::dsp {

/// Second-order section, a[0] = 1:  y = b0 x + b1 x₁ + b2 x₂ − a1 y₁ − a2 y₂.
struct Biquad {
  double b0, b1, b2, a1, a2;
};

/// Second-order Butterworth low-pass by the bilinear transform with prewarping.
/// `cutoff_hz` is the −3 dB frequency, 0 < cutoff_hz < rate_hz / 2.
[[nodiscard]] Biquad butterworth_lowpass(double cutoff_hz, double rate_hz);

/// The cutoff to design for so that −3 dB holds at `cutoff_hz` after a forward and a backward pass:
/// fc′ = atan(tan(π fc/fs)/C)·fs/π, C = (√2−1)^¼ (Winter, Biomechanics and Motor Control of Human
/// Movement).
[[nodiscard]] double two_pass_cutoff(double cutoff_hz, double rate_hz);

/// One pass, from rest (zero initial state). n values in, n out.
[[nodiscard]] Eigen::VectorXd filter(const Biquad& section, const Eigen::VectorXd& x);

/// Zero-lag low-pass of a uniformly sampled signal: forwards and backwards, corrected cutoff, ends
/// extended by odd reflection, initial state at the steady state of the first value.
/// Below 4 samples, or with cutoff_hz ≥ 0.45·rate_hz, x is returned as it is.
[[nodiscard]] Eigen::VectorXd smooth_lowpass(const Eigen::VectorXd& x, double cutoff_hz,
                                             double rate_hz);

}  // namespace strapline::dsp
