#include "strapline/coaching/quantiles.hpp"

#include <cassert>
#include <cmath>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace strapline::coaching {

double normal_cdf(double z) { return boost::math::cdf(boost::math::normal(), z); }

double normal_quantile(double p) {
  assert(p > 0.0 && p < 1.0);
  return boost::math::quantile(boost::math::normal(), p);
}

double student_t_quantile(double p, double degrees_of_freedom) {
  assert(p > 0.0 && p < 1.0 && degrees_of_freedom > 0.0);
  if (!std::isfinite(degrees_of_freedom)) return normal_quantile(p);
  return boost::math::quantile(boost::math::students_t(degrees_of_freedom), p);
}

}  // namespace strapline::coaching
