// The smoother's stated uncertainty of the heading, against the simulator's truth: people who stand
// still sway, and slow sway must not be taken for the gyroscope's bias with confidence.

#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "strapline/dsp/orientation_smoother.hpp"
#include "strapline/recordings/synthetic/synthesize.hpp"

namespace strapline::cli {
namespace {

namespace synthetic = recordings::synthetic;

/// Turn about the vertical from truth to estimate.
double heading_error(const Eigen::Quaterniond& estimate, const Eigen::Quaterniond& truth) {
  const Eigen::Quaterniond off = estimate * truth.conjugate();
  return 2.0 * std::atan2(off.y(), off.w());
}

Eigen::Quaterniond quaternion(const nlohmann::json& wxyz) {
  return {wxyz[0].get<double>(), wxyz[1].get<double>(), wxyz[2].get<double>(),
          wxyz[3].get<double>()};
}

struct Drift {
  double error, u;  ///< rad, from the first sample to the last
};

std::vector<Drift> drifts_of(std::uint64_t seed) {
  const auto set = synthetic::synthesize_set(synthetic::random_squat_params(seed),
                                             synthetic::StrapSetup{}, {0.0, true})
                       .value();
  const auto truth = nlohmann::json::parse(set.recording.truth_json);
  std::vector<Drift> drifts;
  for (std::size_t i = 0; i < set.recording.straps.size(); ++i) {
    const auto& record = set.recording.straps[i];
    const auto params = dsp::params_for(record.errors);
    const auto series = dsp::smoothed_orientation(recordings::to_series(record).data, params);
    const auto& q = truth["straps"][i]["q_world_from_sensor"];
    const auto& estimate = series.q_world_from_sensor;
    const double turned = heading_error(estimate.back(), quaternion(q.back())) -
                          heading_error(estimate.front(), quaternion(q.front()));
    const Eigen::Index last = series.heading_u.size() - 1;
    drifts.push_back({std::remainder(turned, 2.0 * M_PI),
                      std::hypot(series.heading_u[0], series.heading_u[last])});
  }
  return drifts;
}

TEST(HeadingCoverage, DriftOverASetLiesWithinTwiceItsUncertainty) {
  int inside = 0;
  int all = 0;
  double worst = 0.0;
  for (std::uint64_t seed = 7001; seed <= 7020; ++seed) {
    for (const Drift& drift : drifts_of(seed)) {
      const double normalised = std::abs(drift.error) / drift.u;
      worst = std::max(worst, normalised);
      inside += normalised < 1.96 ? 1 : 0;
      ++all;
    }
  }
  EXPECT_GE(inside, 0.90 * all);
  EXPECT_LT(worst, 4.0);
}

}  // namespace
}  // namespace strapline::cli
