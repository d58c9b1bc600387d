#pragma once

#include <Eigen/Core>

namespace strapline::cli::reference {

/// A sampled signal.
struct Trace {
  Eigen::VectorXd t;  ///< s, increasing
  Eigen::VectorXd y;
};

/// The trace at a time, linear between samples; NaN outside.
[[nodiscard]] double at(const Trace& trace, double t);

/// Difference of an estimate from a truth with a constant offset removed, over the truth's samples
/// that both have.
struct TraceError {
  double rmse = 0.0;
  double coverage95 = 0.0;   ///< share of |error| ≤ 1.96 u
  double correlation = 0.0;  ///< Pearson
  int n = 0;
};
/// `shift_s`: the estimate is read that much later.
[[nodiscard]] TraceError trace_error(const Trace& ours, const Eigen::VectorXd& u,
                                     const Trace& truth, double shift_s = 0.0);

/// The shift within ±0.1 s at which the error is least, to 1 ms.
[[nodiscard]] double best_shift(const Trace& ours, const Trace& truth);

/// −1 where the largest excursion from the start posture points down, else 1: the rule by which
/// dsp::joint_motion gives its flexion a sign, over the same start posture.
[[nodiscard]] double excursion_sign(const Trace& trace);

}  // namespace strapline::cli::reference
