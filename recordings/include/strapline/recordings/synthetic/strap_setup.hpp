#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "strapline/recordings/recording.hpp"
#include "strapline/recordings/synthetic/set_params.hpp"

namespace strapline::recordings::synthetic {

/// A sensor part's figures. Noise densities are one-sided, as datasheets give them: a sampled
/// reading's variance is density²·rate/2. `_sd` values are 1 sigma, drawn per strap and axis.
struct SensorPart {
  std::string name;
  double acc_noise_density = 0.0;  ///< m/s²/√Hz
  double gyr_noise_density = 0.0;  ///< rad/s/√Hz
  double acc_bias_sd = 0.0;        ///< m/s²
  double gyr_bias_sd = 0.0;        ///< rad/s
  double acc_walk = 0.0;           ///< m/s²/√s, random walk of the bias
  double gyr_walk = 0.0;           ///< rad/s/√s
  double acc_scale_sd = 0.0;       ///< share
  double gyr_scale_sd = 0.0;       ///< share
  double cross_axis_sd = 0.0;      ///< share of each other axis
  double gyr_force_sd = 0.0;       ///< rad/s per m/s²: what each axis of force adds to each rate
  double acc_scale = 0.0;          ///< m/s² per count
  double gyr_scale = 0.0;          ///< rad/s per count; readings stop at 16 bits
};

/// "ideal" (no noise, bias or scale error, fine counts), "common_2019", "low_cost_2012",
/// "precise_2021": names of ours for the spread of common parts; where each figure lies between
/// is in the room's README. Empty where the name is none of these.
[[nodiscard]] std::optional<SensorPart> sensor_part(std::string_view name);
[[nodiscard]] const std::vector<SensorPart>& sensor_parts();

/// What such a part's datasheet would state of its errors. Simulated readings do not lag; of the
/// gyroscope's gain the RMS over its nine entries is stated, scales and cross-axis ones.
[[nodiscard]] dsp::SensorErrors errors_of(const SensorPart& part);

/// How far skin and muscle carry a strap against the bone.
struct SoftTissue {
  // rad, turn about a random axis at the deepest point (110° of knee or elbow flexion, 35° of trunk
  // lean in squats, 65° in hip hinges), drawn with this RMS; proportional to that in between.
  double thigh = deg(2.0);
  double shank = deg(1.0);
  double upper_arm = deg(2.0);
  double forearm = deg(1.0);
  double foot = deg(0.5);         ///< shoe and laces
  double trunk = deg(1.0);        ///< pelvis, lower and upper back, chest
  double shift = 0.004;           ///< m, RMS at the deepest point, along a random direction
  double ringing = deg(0.3);      ///< rad, first swing after a quick stop of movement
  double ringing_shift = 5e-4;    ///< m, same
  double ringing_hz = 5.0;        ///< Hz
  double ringing_damping = 0.15;  ///< share of critical damping
};

/// All of it, turns and shifts, by a factor; 0: the straps sit on bone.
[[nodiscard]] SoftTissue scaled(const SoftTissue& tissue, double factor);

/// Which straps are worn, and how badly.
struct StrapSetup {
  std::vector<dsp::Placement> placements{
      {dsp::Segment::chest, dsp::Side::middle}, {dsp::Segment::pelvis, dsp::Side::middle},
      {dsp::Segment::thigh, dsp::Side::left},   {dsp::Segment::thigh, dsp::Side::right},
      {dsp::Segment::shank, dsp::Side::left},   {dsp::Segment::shank, dsp::Side::right}};
  std::uint64_t seed = 1;  ///< of mounting, errors and noise; each strap has its own stream
  std::string part = "common_2019";    ///< see sensor_part
  std::optional<SensorPart> own_part;  ///< used instead of the named one
  double max_tilt = deg(10.0);         ///< rad, of the strap's long axis; uniform 0 to this
  double max_twist = deg(45.0);        ///< rad, about the limb; uniform within ± this
  bool any_orientation = false;        ///< sensor turned at random altogether, on top of these
  SoftTissue soft_tissue;
  double rate_hz = 104.0;           ///< nominal; common parts run at 104 and 208 Hz (DS12140)
  double rate_error = 0.01;         ///< share; the part's own oscillator, uniform within ± this
  double tick_hz = 1e6;             ///< device clock
  double max_skew_ppm = 50.0;       ///< of the device clock, uniform within ± this
  double max_clock_offset = 100.0;  ///< s, device time at common time 0, uniform 0 to this
  double clock_u = 2e-4;            ///< s, error of the clock fit's offset, 1 sigma
};

/// What one strap drew: for tests, and part of the truth.
struct StrapTruth {
  dsp::Placement placement;
  Eigen::Matrix3d segment_from_sensor;  ///< standing, before soft tissue
  Eigen::Vector3d lever;                ///< m, strap in the segment's axes from its upper joint
  double tilt = 0.0;                    ///< rad
  double twist = 0.0;                   ///< rad
  Eigen::Vector3d acc_bias, gyr_bias;   ///< m/s², rad/s; at the start
  Eigen::Matrix3d acc_gain, gyr_gain;   ///< reading = gain · true + bias
  double rate_hz = 0.0;                 ///< true, on the common clock
  double skew_ppm = 0.0;
  double clock_error_s = 0.0;  ///< stated common time minus true time at the recording's start
};

}  // namespace strapline::recordings::synthetic
