#include "strapline/coaching/change.hpp"

#include <cassert>
#include <cmath>

#include "strapline/coaching/quantiles.hpp"
#include "strapline/coaching/test_retest.hpp"

namespace strapline::coaching {
namespace {

/// @param of_one what one set is known to at 95 %: coverage·SEM.
double detectable(double of_one, int baseline_wearings, int latest_wearings) {
  return of_one * std::sqrt(1.0 / baseline_wearings + 1.0 / latest_wearings);
}

bool inside(double difference, double reach, std::optional<double> smallest) {
  return smallest && std::abs(difference) + reach < *smallest;
}

bool settled(double difference, double reach, std::optional<double> smallest) {
  return std::abs(difference) > reach || inside(difference, reach, smallest);
}

std::optional<int> sets_to_settle(double difference, const ComparedMean& baseline,
                                  const ComparedMean& latest, double of_one,
                                  std::optional<double> smallest) {
  for (int more = 1; more <= kMostFurtherSets; ++more) {
    const double reach = detectable(of_one, baseline.wearings, latest.wearings + more);
    if (settled(difference, reach, smallest)) return more;
  }
  return std::nullopt;
}

/// Of a stated SEM with a part that is a default (JCGM 100:2008, G.4.1 and G.4.2).
double degrees_of_default(double sem, double restrapping, double differs_by) {
  if (!(restrapping > 0.0 && differs_by > 0.0)) return std::numeric_limits<double>::infinity();
  return 0.5 / (differs_by * differs_by) * std::pow(sem / restrapping, 4);
}

}  // namespace

double ErrorParameters::restrapping(dsp::Unit unit) const {
  switch (unit) {
    case dsp::Unit::radian:
      return restrapping_rad;
    case dsp::Unit::metre:
      return restrapping_m;
    case dsp::Unit::second:
      return restrapping_s;
    case dsp::Unit::metre_per_second:
      return restrapping_m_per_s;
    case dsp::Unit::one:
      break;
  }
  return 0.0;
}

RepSummary summarise_reps(const std::vector<dsp::MeasuredValue>& reps) {
  assert(!reps.empty());
  const double n = static_cast<double>(reps.size());
  RepSummary summary;
  summary.reps = static_cast<int>(reps.size());
  summary.unit = reps.front().unit;
  double mean_square_u = 0.0;
  std::vector<double> values;
  for (const dsp::MeasuredValue& rep : reps) {
    summary.mean += rep.value / n;
    mean_square_u += rep.u * rep.u / n;
    values.push_back(rep.value);
  }
  summary.sd = pooled_within_deviation({values}).sd;
  summary.u = std::sqrt(mean_square_u);
  return summary;
}

SetMean set_mean(const RepSummary& reps, const ErrorParameters& parameters) {
  assert(reps.reps > 0);
  const double restrapping = parameters.restrapping(reps.unit);
  const double of_the_mean = reps.sd * reps.sd / reps.reps;
  return {reps.mean, std::sqrt(reps.u * reps.u + of_the_mean + restrapping * restrapping), reps.sd,
          reps.reps};
}

double ErrorBasis::coverage() const {
  // Weir's rounded 1.96, so that the published MDC95 comes out to the digit.
  if (!std::isfinite(degrees_of_freedom)) return 1.96;
  return student_t_quantile(0.975, degrees_of_freedom);
}

ErrorBasis error_basis(const std::vector<std::vector<double>>& repeats,
                       const std::vector<double>& stated_errors, double restrapping,
                       const ErrorParameters& parameters) {
  assert(!stated_errors.empty());
  ErrorBasis basis;
  for (const auto& group : repeats) basis.repeat_groups += group.size() >= 2 ? 1 : 0;
  const PooledDeviation own = pooled_within_deviation(repeats);
  if (own.degrees_of_freedom >= parameters.least_degrees_of_freedom && own.sd > 0.0) {
    basis.source = ErrorSource::own_repeats;
    basis.sem = own.sd;
    basis.degrees_of_freedom = own.degrees_of_freedom;
    return basis;
  }
  double mean_square = 0.0;
  for (const double error : stated_errors) {
    mean_square += error * error / static_cast<double>(stated_errors.size());
  }
  basis.sem = std::sqrt(mean_square);
  basis.degrees_of_freedom =
      degrees_of_default(basis.sem, restrapping, parameters.restrapping_differs_by);
  return basis;
}

Change judge_change(const ComparedMean& baseline, const ComparedMean& latest,
                    const ErrorBasis& error, std::optional<double> smallest_that_matters) {
  assert(baseline.wearings >= 1 && latest.wearings >= 1);
  Change change;
  change.difference = latest.value - baseline.value;
  const double of_one = error.coverage() * error.sem;
  change.mdc95 = detectable(of_one, baseline.wearings, latest.wearings);
  change.low = change.difference - change.mdc95;
  change.high = change.difference + change.mdc95;
  const bool within = inside(change.difference, change.mdc95, smallest_that_matters);
  if (std::abs(change.difference) > change.mdc95) {
    change.verdict = Verdict::changed;
    change.smaller_than_matters = within;
  } else if (within) {
    change.verdict = Verdict::unchanged;
  } else {
    change.further_sets =
        sets_to_settle(change.difference, baseline, latest, of_one, smallest_that_matters);
  }
  return change;
}

}  // namespace strapline::coaching
