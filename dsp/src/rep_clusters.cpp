#include <algorithm>

#include "strapline/dsp/set_analysis.hpp"

#include "median.hpp"

namespace strapline::dsp {
namespace {

// Common practice rests 10–30 s between clusters; a client is not that exact.
constexpr double kLeastPause = 8.0;  // s
// Slow reps with long holds at the top are no clusters of one: a pause stands out from the others.
constexpr double kStandsOut = 3.0;  // of the set's usual time between reps

}  // namespace

std::vector<RepCluster> clusters_of(const std::vector<Rep>& reps) {
  std::vector<RepCluster> clusters;
  std::vector<double> between;
  for (std::size_t k = 1; k < reps.size(); ++k) {
    between.push_back(reps[k].start_s - reps[k - 1].end_s);
  }
  const double usual = between.empty() ? 0.0 : median_of(between);
  for (std::size_t k = 0; k < reps.size(); ++k) {
    const double pause = k == 0 ? 0.0 : between[k - 1];
    const bool begins = k == 0 || (pause >= kLeastPause && pause >= kStandsOut * usual);
    if (begins) clusters.push_back({k, 0, pause});
    ++clusters.back().count;
  }
  return clusters;
}

}  // namespace strapline::dsp
