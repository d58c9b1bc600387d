#include "strapline/coaching/test_retest.hpp"

#include <cmath>

namespace strapline::coaching {

dsp::Result<TwoWayAnova> two_way_anova(const Eigen::MatrixXd& table) {
  const Eigen::Index n = table.rows();
  const Eigen::Index k = table.cols();
  if (n < 2 || k < 2) {
    return dsp::fail("a test–retest table needs two subjects and two trials or more");
  }
  if (!table.allFinite()) return dsp::fail("a test–retest table has a value that is no number");

  const double rows = static_cast<double>(n);
  const double columns = static_cast<double>(k);
  const double mean = table.mean();
  const Eigen::VectorXd of_subject = table.rowwise().mean();
  const Eigen::RowVectorXd of_trial = table.colwise().mean();
  const Eigen::MatrixXd within = table.colwise() - of_subject;
  // From the residuals themselves: the difference of sums of squares cancels.
  const Eigen::MatrixXd residual = within.rowwise() - (of_trial.array() - mean).matrix();
  return TwoWayAnova{static_cast<int>(n),
                     static_cast<int>(k),
                     columns * (of_subject.array() - mean).square().sum() / (rows - 1.0),
                     rows * (of_trial.array() - mean).square().sum() / (columns - 1.0),
                     within.squaredNorm() / (rows * (columns - 1.0)),
                     residual.squaredNorm() / ((rows - 1.0) * (columns - 1.0))};
}

double standard_error_of_measurement(const TwoWayAnova& anova) { return std::sqrt(anova.ms_error); }

double minimal_detectable_change_95(double sem) { return 1.96 * std::sqrt(2.0) * sem; }

dsp::Result<double> typical_error(const Eigen::VectorXd& first, const Eigen::VectorXd& second) {
  if (first.size() != second.size() || first.size() < 2) {
    return dsp::fail("the typical error needs two trials of the same two subjects or more");
  }
  const Eigen::VectorXd difference = second - first;
  if (!difference.allFinite()) return dsp::fail("a trial has a value that is no number");
  const double variance = (difference.array() - difference.mean()).square().sum() /
                          static_cast<double>(difference.size() - 1);
  return std::sqrt(variance / 2.0);
}

dsp::Result<IntraclassCorrelations> intraclass_correlations(const TwoWayAnova& anova) {
  const double n = anova.subjects;
  const double k = anova.trials;
  const double between = anova.ms_subjects;
  const double within = anova.ms_within;
  const double error = anova.ms_error;
  const double trials = anova.ms_trials;
  if (!(between > 0.0)) return dsp::fail("the subjects do not differ: no correlation is defined");
  return IntraclassCorrelations{
      (between - within) / (between + (k - 1.0) * within),
      (between - error) / (between + (k - 1.0) * error + k * (trials - error) / n),
      (between - error) / (between + (k - 1.0) * error),
      (between - within) / between,
      (between - error) / (between + (trials - error) / n),
      (between - error) / between};
}

PooledDeviation pooled_within_deviation(const std::vector<std::vector<double>>& groups) {
  double sum_of_squares = 0.0;
  int degrees_of_freedom = 0;
  for (const std::vector<double>& group : groups) {
    if (group.size() < 2) continue;
    double mean = 0.0;
    for (const double value : group) mean += value / static_cast<double>(group.size());
    for (const double value : group) sum_of_squares += (value - mean) * (value - mean);
    degrees_of_freedom += static_cast<int>(group.size()) - 1;
  }
  if (degrees_of_freedom == 0) return {};
  return {std::sqrt(sum_of_squares / degrees_of_freedom), degrees_of_freedom};
}

}  // namespace strapline::coaching
