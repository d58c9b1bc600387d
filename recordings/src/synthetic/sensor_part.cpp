#include <algorithm>
#include <cmath>
#include <numbers>

#include "strapline/recordings/synthetic/strap_setup.hpp"

namespace strapline::recordings::synthetic {
namespace {

constexpr double kGravity = 9.80665;
constexpr double kMicroG = kGravity * 1e-6;
constexpr double kMilliG = kGravity * 1e-3;
constexpr double kMilliDegree = deg(1e-3);

SensorPart ideal() {
  SensorPart part;
  part.name = "ideal";
  part.acc_scale = 16.0 * kGravity / 32768.0;
  part.gyr_scale = deg(2000.0) / 32768.0;
  return part;
}

/// Middle of the range of common parts; ±16 g, and ±2000 °/s at 70 mdps per count.
SensorPart common_2019() {
  SensorPart part;
  part.name = "common_2019";
  part.acc_noise_density = 120.0 * kMicroG;
  part.gyr_noise_density = 5.0 * kMilliDegree;
  part.acc_bias_sd = 20.0 * kMilliG;
  part.gyr_bias_sd = deg(0.5);
  part.acc_walk = 20.0 * kMicroG;
  part.gyr_walk = 1.0 * kMilliDegree;
  part.acc_scale_sd = 0.005;
  part.gyr_scale_sd = 0.005;
  part.cross_axis_sd = 0.003;
  part.acc_scale = 0.488 * kMilliG;
  part.gyr_scale = 70.0 * kMilliDegree;
  return part;
}

/// The old end: large zero-rate error and scale error.
SensorPart low_cost_2012() {
  SensorPart part;
  part.name = "low_cost_2012";
  part.acc_noise_density = 400.0 * kMicroG;
  part.gyr_noise_density = 7.0 * kMilliDegree;
  part.acc_bias_sd = 40.0 * kMilliG;
  part.gyr_bias_sd = deg(8.0);
  part.acc_walk = 50.0 * kMicroG;
  part.gyr_walk = 3.0 * kMilliDegree;
  part.acc_scale_sd = 0.015;
  part.gyr_scale_sd = 0.015;
  part.cross_axis_sd = 0.01;
  part.gyr_force_sd = 100.0 * kMilliDegree / kGravity;
  part.acc_scale = 16.0 * kGravity / 32768.0;
  part.gyr_scale = deg(2000.0) / 32768.0;
  return part;
}

SensorPart precise_2021() {
  SensorPart part;
  part.name = "precise_2021";
  part.acc_noise_density = 70.0 * kMicroG;
  part.gyr_noise_density = 2.8 * kMilliDegree;
  part.acc_bias_sd = 5.0 * kMilliG;
  part.gyr_bias_sd = deg(0.2);
  part.acc_walk = 10.0 * kMicroG;
  part.gyr_walk = 0.5 * kMilliDegree;
  part.acc_scale_sd = 0.002;
  part.gyr_scale_sd = 0.003;
  part.cross_axis_sd = 0.002;
  part.acc_scale = 0.488 * kMilliG;
  part.gyr_scale = 70.0 * kMilliDegree;
  return part;
}

}  // namespace

const std::vector<SensorPart>& sensor_parts() {
  static const std::vector<SensorPart> parts{ideal(), common_2019(), low_cost_2012(),
                                             precise_2021()};
  return parts;
}

std::optional<SensorPart> sensor_part(std::string_view name) {
  const auto& parts = sensor_parts();
  const auto found = std::find_if(parts.begin(), parts.end(),
                                  [&](const SensorPart& part) { return part.name == name; });
  if (found == parts.end()) return std::nullopt;
  return *found;
}

SoftTissue scaled(const SoftTissue& tissue, double factor) {
  SoftTissue result = tissue;
  for (double* size :
       {&result.thigh, &result.shank, &result.upper_arm, &result.forearm, &result.foot,
        &result.trunk, &result.shift, &result.ringing, &result.ringing_shift}) {
    *size *= factor;
  }
  return result;
}

dsp::SensorErrors errors_of(const SensorPart& part) {
  dsp::SensorErrors errors;
  errors.gyr_noise_density = part.gyr_noise_density;
  errors.acc_noise_density = part.acc_noise_density;
  errors.gyr_bias_sd = part.gyr_bias_sd;
  errors.acc_bias_sd = part.acc_bias_sd;
  errors.reading_lag = 0.0;
  // RMS of the gain's nine entries: three are scales, six are cross-axis.
  errors.gyr_gain_sd =
      std::hypot(part.gyr_scale_sd, std::numbers::sqrt2 * part.cross_axis_sd) / std::numbers::sqrt3;
  errors.acc_cross_axis_sd = part.cross_axis_sd;
  return errors;
}

}  // namespace strapline::recordings::synthetic
