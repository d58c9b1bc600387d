#include "strapline/coaching/chance.hpp"

#include <cassert>

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/non_central_t.hpp>

#include "strapline/coaching/quantiles.hpp"

namespace strapline::coaching {

double chance_by_own_repeats(double difference, double standard_error, double degrees_of_freedom) {
  assert(standard_error > 0.0 && degrees_of_freedom > 0.0);
  const double limit = student_t_quantile(0.975, degrees_of_freedom);
  const boost::math::non_central_t statistic(degrees_of_freedom, difference / standard_error);
  return boost::math::cdf(boost::math::complement(statistic, limit)) +
         boost::math::cdf(statistic, -limit);
}

double chance_beyond(double difference, double standard_error, double mdc95) {
  assert(standard_error > 0.0);
  return normal_cdf((difference - mdc95) / standard_error) +
         normal_cdf((-difference - mdc95) / standard_error);
}

Interval share_interval(int count, int of, double confidence) {
  assert(of > 0 && count >= 0 && count <= of && confidence > 0.0 && confidence < 1.0);
  using boost::math::binomial;
  const double tail = 0.5 * (1.0 - confidence);
  return {binomial::find_lower_bound_on_p(of, count, tail),
          binomial::find_upper_bound_on_p(of, count, tail)};
}

}  // namespace strapline::coaching
