#pragma once

#include <vector>

#include <Eigen/Core>

#include "strapline/dsp/failure.hpp"

namespace strapline::coaching {

/// Mean squares of a two-way layout without replication: n subjects (rows) × k trials (columns).
struct TwoWayAnova {
  int subjects = 0;
  int trials = 0;
  double ms_subjects = 0.0;  ///< between subjects, n − 1 degrees of freedom
  double ms_trials = 0.0;    ///< between trials, k − 1
  double ms_within = 0.0;    ///< within subjects (trials and error together), n(k − 1)
  double ms_error = 0.0;     ///< residual, (n − 1)(k − 1)
};

/// @param table n×k, any unit; at least 2×2, all finite, else a failure.
[[nodiscard]] dsp::Result<TwoWayAnova> two_way_anova(const Eigen::MatrixXd& table);

/// Standard error of measurement √MSE, in the table's unit (Weir 2005, doi 10.1519/15184.1).
/// Not SD·√(1 − ICC) with the total SD, which mixes in the trials' difference.
[[nodiscard]] double standard_error_of_measurement(const TwoWayAnova& anova);

/// Minimal detectable change at 95 %: 1.96·√2·SEM (Weir 2005).
[[nodiscard]] double minimal_detectable_change_95(double sem);

/// Typical error: SD of the differences of two trials / √2 (Hopkins 2000). Both n ≥ 2 values of
/// the same unit, else a failure.
[[nodiscard]] dsp::Result<double> typical_error(const Eigen::VectorXd& first,
                                                const Eigen::VectorXd& second);

/// Intraclass correlations of Shrout & Fleiss 1979: the three models, for one trial and for the
/// mean of all k.
struct IntraclassCorrelations {
  double one_way_single = 0.0;   ///< ICC(1,1)
  double random_single = 0.0;    ///< ICC(2,1)
  double fixed_single = 0.0;     ///< ICC(3,1)
  double one_way_average = 0.0;  ///< ICC(1,k)
  double random_average = 0.0;   ///< ICC(2,k)
  double fixed_average = 0.0;    ///< ICC(3,k)
};

/// Fails where the subjects do not differ at all: nothing is there to be told apart.
[[nodiscard]] dsp::Result<IntraclassCorrelations> intraclass_correlations(const TwoWayAnova& anova);

/// A standard deviation with the degrees of freedom it rests on.
struct PooledDeviation {
  double sd = 0.0;
  int degrees_of_freedom = 0;
};

/// Standard deviation within groups that each repeat one condition, pooled over the groups:
/// √(Σ (nᵢ − 1) sᵢ² / Σ (nᵢ − 1)). Groups of fewer than two values say nothing and are skipped;
/// no degrees of freedom where none is left.
[[nodiscard]] PooledDeviation pooled_within_deviation(
    const std::vector<std::vector<double>>& groups);

}  // namespace strapline::coaching
